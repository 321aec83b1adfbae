#pragma once

#include <string>
#include <string_view>

/// Markup of a page that is one file: text, numbers, pictures.
namespace blendrisk::report {

/// Text for an HTML page, between tags or in a quoted attribute.
std::string html(std::string_view text);

/// The same of text whose lines, indents and tabs are to stay.
std::string html_lines(const std::string& text);

/// Markup in which names of commands stand between backticks as `code`.
std::string with_code(const std::string& markup);

/// A number with where its command's JSON has it, "fill/safe_amount".
std::string data(const std::string& source, double value, const std::string& text);

/// An amount or a reading that stands out; `markup` as it is.
std::string strong(const std::string& markup);

/// A part of the page under a heading, which is its name for a screen reader; `body` as it is.
std::string section(const std::string& id, const std::string& title, const std::string& body);

/// `style` is a class of the style sheet, or empty; `markup` as it is.
std::string paragraph(const std::string& markup, const char* style = "");

/// A picture with its description and caption; nothing where there is no picture.
std::string picture(const std::string& svg, const std::string& alt, const std::string& caption);

}  // namespace blendrisk::report
