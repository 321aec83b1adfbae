#include "render/page.hpp"

#include <algorithm>

#include "answer/plain_text.hpp"
#include "answer/words.hpp"
#include "render/guide_style.hpp"
#include "text/quoting.hpp"

namespace blendrisk::render {
namespace {

using answer::Block;
using answer::Kind;
using answer::UnitSystem;
using answer::Value;
using answer::operator""_w;

/// {1} is the title of the window, {2} the style, {3} what else stands in the head, {4} the body,
/// {5} the tag of the language.
constexpr std::string_view k_document = R"html(<!DOCTYPE html>
<html lang="{5}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{1}</title>
<style>{2}</style>
{3}</head>
<body>
{4}</body>
</html>
)html";

/// {1} is the title of the page, {2} what is below it, {3} the short caution and the sections, {4}
/// the title of the last, {5} its summary and contents, {6} what stands at the end.
constexpr std::string_view k_page = R"html(<header>
<h1>{1}</h1>
<p class="soft">{2}</p>
</header>
<main>
{3}<section aria-labelledby="again">
<h2 id="again">{4}</h2>
<details>
{5}</details>
</section>
</main>
{6})html";

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

/// The same of text whose lines, indents and tabs are to stay.
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
      kept += (at == 0 ? "" : "\t") + text::escaped(line.substr(at, tab - at));
      at = tab + 1;
    }
    result += escaped_markup(kept) + "\n";
    from = end + 1;
  }
  return result;
}

/// Markup in which names of commands stand between backticks as `code`.
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

class Markup {
 public:
  explicit Markup(UnitSystem units) : units_(units) {}

  std::string of(const answer::PageSection& section) const {
    std::string body;
    for (const Block& block : section.blocks) body += of(block);
    if (section.warning) body = "<div class=\"warn\">\n" + body + "</div>\n";
    const std::string title(answer::words("guide." + section.id + ".title"));
    return "<section aria-labelledby=\"" + section.id + "\">\n<h2 id=\"" + section.id + "\">" +
           html(title) + "</h2>\n" + body + "</section>\n";
  }

  /// Words are markup, what stands in their places is text.
  std::string of(const Value& value) const {
    if (!value.source.empty()) {
      return "<data class=\"n\" data-source=\"" + html(value.source) + "\" value=\"" +
             answer::exact_text(value.number) + "\">" + html(answer::shown(value, units_)) +
             "</data>";
    }
    if (value.kind != Kind::words && value.kind != Kind::joined) {
      return html(answer::shown(value, units_));
    }
    std::vector<std::string> parts;
    for (const Value& part : value.parts) parts.push_back(of(part));
    return answer::filled(value, parts);
  }

  std::string of(const Block& block) const {
    switch (block.kind) {
      case Block::Kind::paragraph:
        return "<p" + styled(block) + ">" + of(block.values[0]) + "</p>\n";
      case Block::Kind::steps:
        return "<ol" + styled(block) + ">\n" + items(block) + "</ol>\n";
      case Block::Kind::items:
        return "<ul>\n" + items(block) + "</ul>\n";
      case Block::Kind::table:
        return table(block);
      case Block::Kind::picture:
        break;
    }
    if (block.svg.empty()) return {};
    return "<figure>\n<img alt=\"" + html(block.alt) + "\" src=\"data:image/svg+xml;base64," +
           base64(block.svg) + "\">\n<figcaption>" + of(block.values[0]) +
           "</figcaption>\n</figure>\n";
  }

 private:
  static std::string styled(const Block& block) {
    return block.style.empty() ? "" : " class=\"" + block.style + "\"";
  }

  std::string items(const Block& block) const {
    std::string text;
    for (const Value& value : block.values) text += "<li>" + with_code(of(value)) + "</li>\n";
    return text;
  }

  std::string table(const Block& block) const {
    std::string text = "<table" + styled(block) + ">\n";
    if (!block.values.empty()) text += "<caption>" + of(block.values[0]) + "</caption>\n";
    text += "<thead>\n<tr>";
    for (const Value& value : block.head) text += "<th scope=\"col\">" + of(value) + "</th>";
    text += "</tr>\n</thead>\n<tbody>\n";
    for (const std::vector<Value>& row : block.rows) {
      text += "<tr><th scope=\"row\">" + of(row[0]) + "</th>";
      for (std::size_t c = 1; c < row.size(); ++c) text += "<td>" + of(row[c]) + "</td>";
      text += "</tr>\n";
    }
    return text + "</tbody>\n</table>\n";
  }

  UnitSystem units_;
};

}  // namespace

std::string html(std::string_view text) {
  return escaped_markup(answer::cleaned(text));
}

std::string blocks(const std::vector<Block>& blocks, UnitSystem units) {
  const Markup markup(units);
  std::string text;
  for (const Block& block : blocks) text += markup.of(block);
  return text;
}

std::string sections(const std::vector<answer::PageSection>& sections, UnitSystem units) {
  const Markup markup(units);
  std::string text;
  for (const answer::PageSection& section : sections) text += markup.of(section);
  return text;
}

std::string document(const std::string& title, std::string_view style, const std::string& head,
                     const std::string& body) {
  return answer::filled(k_document, {title, std::string(style), head, body, "language.tag"_w});
}

std::string page(const answer::Page& page, UnitSystem units, const Around& around) {
  const Markup markup(units);
  const std::string again = "<summary>" + html("guide.again.what"_w) + "</summary>\n<pre>" +
                            html_lines(page.command) + "</pre>\n<pre>" + html_lines(page.scenario) +
                            "</pre>\n";
  const std::string body =
      answer::filled(k_page, {html(page.title), markup.of(page.about),
                              "<p><strong>" + html("caution.short"_w) + "</strong></p>\n" +
                                  around.before + "<div id=\"guide\">\n" +
                                  sections(page.sections, units) + "</div>\n" + around.after,
                              "guide.again.title"_w, again, around.end});
  return document(markup.of(answer::say("guide.title", answer::text(page.title))), k_guide_style,
                  around.head, body);
}

std::string page(const answer::Page& page, UnitSystem units) {
  return render::page(page, units, Around{});
}

}  // namespace blendrisk::render
