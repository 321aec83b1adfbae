#pragma once

#include <string>
#include <string_view>
#include <vector>

/// Text as man(7) source, in the requests that both groff and mandoc know.
namespace blendrisk::cli::roff {

/// The text as it stands, with `words` between backquotes in bold. ASCII only.
std::string text(std::string_view plain);

std::string bold(std::string_view plain);

/// A line of usage: names in bold, capitals (what a user puts in) slanted.
std::string usage(std::string_view line);

/// The same as a block of its own, the program's name first.
std::string synopsis(std::string_view line);

/// First line of a page. @param date  "2026-01-31"
std::string title(std::string_view name, int section, std::string_view date);

std::string section(std::string_view name);
std::string subsection(std::string_view name);
std::string paragraph(std::string_view plain);

/// An entry of a list. @param tag  source, such as bold("--json")
std::string entry(std::string_view tag, std::string_view plain);

/// Lines as they stand, one after the other.
std::string example(const std::vector<std::string>& lines);

/// A whole page in lines of at most 80 bytes, as far as blanks allow.
std::string finished(std::string_view source);

/// A command for a shell in lines of at most `most` columns where its options allow that.
std::vector<std::string> broken_command(std::string_view command, std::size_t most);

}  // namespace blendrisk::cli::roff
