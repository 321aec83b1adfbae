#include "render/text.hpp"

#include <algorithm>

#include "answer/plain_text.hpp"
#include "answer/words.hpp"
#include "text/quoting.hpp"

namespace blendrisk::render {
namespace {

using answer::Description;
using answer::Grid;
using answer::Kind;
using answer::Row;
using answer::Section;
using answer::shown;
using answer::UnitSystem;
using answer::Value;
using answer::operator""_w;
using answer::k_columns;
using answer::padded;
using answer::shortened;
using answer::width;
using answer::wrapped;

constexpr std::size_t k_chance_columns = 22;
constexpr const char* k_item = "  - ";

std::string indented(std::size_t indent) {
  return std::string(indent, ' ');
}

class Text {
 public:
  explicit Text(UnitSystem units) : units_(units) {}

  std::string of(const Description& description) const {
    std::string title = shortened(description.title, k_columns);
    if (title.empty()) title = "untitled"_w;
    std::string text = title + "\n" + std::string(width(title), '=') + "\n\n";
    for (const Value& value : description.verdict) text += wrapped(shown(value, units_));
    for (const Value& value : description.ways) text += wrapped(shown(value, units_), k_item);
    for (const Section& section : description.sections) text += of(section);
    return text;
  }

 private:
  std::string of(const Section& section) const {
    const bool chances = !section.rows.empty() && section.rows[0].value.kind == Kind::chance;
    std::string text = "\n";
    if (chances) {
      text += padded(shown(section.heading), section.columns + 4) +
              padded("heading.chance"_w, k_chance_columns + 2) + "heading.interval"_w + "\n";
    } else if (!section.grid.head.empty()) {
      text += head_of(section.grid);
    } else if (section.heading) {
      text += shown(section.heading, units_) + "\n";
    }
    for (const Row& row : section.rows) text += of(row, section.columns);
    text +=
        section.grid.widths.empty() ? from_the_right(section.grid) : from_the_left(section.grid);
    for (const Value& value : section.text)
      text += wrapped(shown(value, units_), indented(section.indent));
    for (const Value& value : section.items) text += wrapped(shown(value, units_), k_item);
    return text;
  }

  /// "  label      value", the value broken within its own column.
  std::string of(const Row& row, std::size_t columns) const {
    std::string name = shown(row.label, units_);
    std::string value = shown(row.value, units_);
    if (row.one_line) {
      name = shortened(name, columns);
      value = shortened(value, k_columns - columns - 4);
    }
    const std::string head = "  " + padded(name, columns) + "  ";
    const estimate::Estimate& estimate = row.value.estimate;
    // A bound has no interval.
    if (row.value.kind != Kind::chance || answer::is_bound(estimate)) return wrapped(value, head);
    const bool exact = estimate.interval[0] == estimate.interval[1];
    const std::string interval = exact ? "exact"_w : answer::interval_text(estimate);
    const std::string beside = head + padded(value, k_chance_columns) + "  " + interval;
    if (width(beside) <= k_columns) return beside + "\n";
    return head + value + "\n" + indented(width(head)) + interval + "\n";
  }

  std::string head_of(const Grid& grid) const {
    std::string text = padded(shown(grid.head[0]), grid.widths[0] + 2);
    for (std::size_t c = 1; c < grid.head.size(); ++c) {
      const std::string cell = shown(grid.head[c]);
      text += c < grid.widths.size() ? padded(cell, grid.widths[c]) : cell;
    }
    return text + "\n";
  }

  std::string from_the_left(const Grid& grid) const {
    std::string text;
    for (const std::vector<Value>& line : grid.lines) {
      std::string cells = "  ";
      for (std::size_t c = 0; c < line.size(); ++c) {
        std::string cell = shown(line[c], units_);
        if (c + 1 < line.size() && line[c].kind == Kind::text)
          cell = shortened(cell, grid.widths[c] - 1);
        cells += c < grid.widths.size() ? padded(cell, grid.widths[c]) : cell;
      }
      cells.erase(cells.find_last_not_of(' ') + 1);
      text += cells + "\n";
    }
    return text;
  }

  std::string from_the_right(const Grid& grid) const {
    std::vector<std::size_t> widths;
    for (const std::vector<Value>& line : grid.lines) {
      widths.resize(std::max(widths.size(), line.size()), 0);
      for (std::size_t c = 0; c < line.size(); ++c) {
        widths[c] = std::max(widths[c], width(shown(line[c], units_)));
      }
    }
    std::string text;
    for (const std::vector<Value>& line : grid.lines) {
      text += " ";
      for (std::size_t c = 0; c < line.size(); ++c) {
        const std::string cell = shown(line[c], units_);
        text += indented(widths[c] - width(cell) + 2) + cell;
      }
      text += "\n";
    }
    return text;
  }

  UnitSystem units_;
};

}  // namespace

std::string text(const Description& description, UnitSystem units) {
  return Text(units).of(description);
}

std::string text(const std::vector<Description>& all, UnitSystem units) {
  std::string lines;
  for (const Description& one : all) lines += (lines.empty() ? "" : "\n") + text(one, units);
  return lines;
}

std::string scenario_text(const std::vector<answer::Line>& lines) {
  std::string text;
  for (const answer::Line& line : lines) {
    std::string one = shown(line.value) + "\n";
    if (line.kind == answer::Line::Kind::rule) one = "#\n";
    if (line.kind == answer::Line::Kind::comment) {
      one = wrapped(shown(line.value), "# ");
      // Lines that follow begin with spaces where the first has its mark.
      for (std::size_t at = one.find("\n "); at != std::string::npos; at = one.find("\n ", at)) {
        one[at + 1] = '#';
      }
    }
    text += one;
  }
  return text;
}

std::string written_text(const std::string& path, const std::vector<answer::Paragraph>& more,
                         UnitSystem units) {
  std::string lines = wrapped(shown(answer::say("written", answer::text(text::escaped(path)))));
  for (const answer::Paragraph& one : more) {
    lines += wrapped(shown(one.value, units), std::string(one.indent, ' '));
  }
  return lines + wrapped("caution.short"_w);
}

}  // namespace blendrisk::render
