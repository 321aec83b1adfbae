#pragma once

#include <optional>
#include <string>
#include <vector>

#include "answer/curve.hpp"

/// Comma-separated text as of RFC 4180.
namespace blendrisk::render {

/// The first line of every file of data: the short caution as a comment.
std::string csv_caution();

/// Fields, quoted where a comma, a quote or a line break is inside, and a line break.
std::string csv_line(const std::vector<std::string>& fields);

/// Columns of a chance with its error and interval, and their names.
void add(std::vector<std::string>& fields, const estimate::Estimate& estimate);
void add_names(std::vector<std::string>& names);
/// A column of a number that may not exist.
void add(std::vector<std::string>& fields, const std::optional<double>& value);

/// The short caution as a comment, then one line a point, in inner units (litres, fractions,
/// seconds).
std::string curve_csv(const answer::CurveView& view);

}  // namespace blendrisk::render
