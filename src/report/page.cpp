#include "report/page.hpp"

#include <algorithm>

#include "report/csv.hpp"
#include "report/plain_text.hpp"
#include "scenario/quoting.hpp"

namespace blendrisk::report {
namespace {

/// Markup characters as entities.
std::string escaped_markup(std::string_view text) {
  std::string result;
  for (const char c : text) {
    switch (c) {
      case '&':
        result += "&amp;";
        break;
      case '<':
        result += "&lt;";
        break;
      case '>':
        result += "&gt;";
        break;
      case '"':
        result += "&quot;";
        break;
      case '\'':
        result += "&#39;";
        break;
      default:
        result += c;
    }
  }
  return result;
}

std::string base64(std::string_view bytes) {
  constexpr std::string_view digits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const auto byte = [&](std::size_t k) -> unsigned {
      return i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0U;
    };
    const unsigned group = byte(0) << 16U | byte(1) << 8U | byte(2);
    for (unsigned k = 0; k < 4; ++k) {
      const bool padding = i + k > bytes.size();
      text += padding ? '=' : digits[group >> (18U - 6U * k) & 63U];
    }
  }
  return text;
}

}  // namespace

std::string html(std::string_view text) {
  return escaped_markup(cleaned(text));
}

std::string html_lines(const std::string& text) {
  std::string result;
  std::size_t from = 0;
  while (from < text.size()) {
    const std::size_t end = std::min(text.find('\n', from), text.size());
    // Cleaning folds white space: indents and columns are kept apart from it.
    std::string line = text.substr(from, end - from);
    std::erase(line, '\r');
    std::string kept;
    for (std::size_t at = 0; at <= line.size();) {
      const std::size_t tab = std::min(line.find('\t', at), line.size());
      kept += (at == 0 ? "" : "\t") + scenario::escaped(line.substr(at, tab - at));
      at = tab + 1;
    }
    result += escaped_markup(kept) + "\n";
    from = end + 1;
  }
  return result;
}

std::string with_code(const std::string& markup) {
  std::string result;
  bool inside = false;
  for (const char c : markup) {
    if (c != '`') {
      result += c;
    } else {
      result += inside ? "</code>" : "<code>";
      inside = !inside;
    }
  }
  return result;
}

std::string data(const std::string& source, double value, const std::string& text) {
  return "<data class=\"n\" data-source=\"" + html(source) + "\" value=\"" + csv_number(value) +
         "\">" + html(text) + "</data>";
}

std::string strong(const std::string& markup) {
  return "<strong class=\"amount\">" + markup + "</strong>";
}

std::string section(const std::string& id, const std::string& title, const std::string& body) {
  return "<section aria-labelledby=\"" + id + "\">\n<h2 id=\"" + id + "\">" + html(title) +
         "</h2>\n" + body + "</section>\n";
}

std::string paragraph(const std::string& markup, const char* style) {
  return std::string("<p") + (*style == '\0' ? "" : std::string(" class=\"") + style + "\"") + ">" +
         markup + "</p>\n";
}

std::string picture(const std::string& svg, const std::string& alt, const std::string& caption) {
  if (svg.empty()) return {};
  return "<figure>\n<img alt=\"" + html(alt) + "\" src=\"data:image/svg+xml;base64," + base64(svg) +
         "\">\n<figcaption>" + html(caption) + "</figcaption>\n</figure>\n";
}

}  // namespace blendrisk::report
