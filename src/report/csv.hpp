#pragma once

#include <string>

/// Comma-separated text as of RFC 4180.
namespace blendrisk::report {

/// Shortest digits that read back as the same number; empty where it is not finite.
std::string csv_number(double value);

/// The first line of every file of data: the short caution as a comment.
std::string csv_caution();

/// Quoted where a comma, a quote or a line break is inside.
std::string csv_field(const std::string& text);

}  // namespace blendrisk::report
