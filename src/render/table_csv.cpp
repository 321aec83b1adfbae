#include "render/table_csv.hpp"

#include <charconv>
#include <map>

#include "render/csv.hpp"
#include "text/error.hpp"
#include "text/lines.hpp"
#include "text/quoting.hpp"

namespace blendrisk::render {
namespace {

using answer::TableView;
using decide::Cell;
using text::Error;

constexpr std::string_view k_part_head = "# blendrisk table, part ";

std::string csv_head(const TableView& view) {
  std::vector<std::string> names{"scenario", view.rows.key, view.columns.key};
  add_names(names, view.request.show, true);
  return csv_line(names);
}

std::string csv_cell(const TableView& view, std::size_t number, const Cell& cell) {
  const answer::TablePlace place = view.place_of(number);
  std::vector<std::string> fields{text::escaped(view.files[place.file]),
                                  view.rows.values[place.row], view.columns.values[place.column]};
  add(fields, cell, view.request.show, true);
  return csv_line(fields);
}

/// "# blendrisk table, part 1 of 4", nothing for the whole. @param whose  what tells the table from
/// others whose parts have the same columns
std::string part_line(const std::optional<Part>& part, const std::string& whose = {}) {
  if (!part) return {};
  return std::string(k_part_head) + std::to_string(part->number) + " of " +
         std::to_string(part->count) + whose + "\n";
}

/// ", shop 5b1c0f3e9a7d2468": a fingerprint of the titles of its cars and pumps, FNV-1a of 64 bits
/// (IETF draft-eastlake-fnv; constants from memory).
std::string fingerprint(const answer::ShopTableView& view) {
  std::uint64_t hash = 0xcbf29ce484222325U;
  const auto take = [&hash](std::string_view text) {
    for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
    hash *= 0x100000001b3U;  // the end of a title
  };
  for (const std::string& car : view.cars) take(car);
  take("");
  for (const std::string& pump : view.pumps) take(pump);
  std::string digits(16, '0');
  for (std::size_t i = digits.size(); i-- > 0; hash >>= 4U)
    digits[i] = "0123456789abcdef"[hash & 15U];
  return ", shop " + digits;
}

/// Lines of a part go on to a terminal as they are.
void check_lines(std::string_view text) {
  for (std::size_t line = 1; !text.empty(); ++line) {
    const std::string why = text::unreadable_because(text::next_line(text));
    if (!why.empty()) throw Error("line " + std::to_string(line) + " " + why, k_parts_accepted);
  }
}

/// A part's text taken apart.
struct Piece {
  std::size_t number, count;
  std::string whose, head, lines;
};

Piece piece_of(const std::string& text) {
  Piece piece{};
  const std::size_t end = text.find('\n');
  std::size_t head_end = end == std::string::npos ? end : text.find('\n', end + 1);
  std::size_t head = end + 1;
  if (head_end != std::string::npos && text[head] == '#') {  // the caution
    head = head_end + 1;
    head_end = text.find('\n', head);
  }
  const std::string first = text.substr(0, end);
  const char* at = first.data() + k_part_head.size();
  const char* last = first.data() + first.size();
  if (head_end == std::string::npos || !first.starts_with(k_part_head)) {
    throw Error("is no part of a table", k_parts_accepted);
  }
  const auto [of, error] = std::from_chars(at, last, piece.number);
  const std::string_view between(of, static_cast<std::size_t>(last - of));
  constexpr std::string_view k_of = " of ";
  const char* const count =
      error == std::errc() && between.starts_with(k_of) ? of + k_of.size() : last;
  const auto [behind, no_count] = std::from_chars(count, last, piece.count);
  if (no_count != std::errc() || piece.number == 0 || piece.number > piece.count) {
    throw Error("does not say which part it is", k_parts_accepted);
  }
  piece.whose.assign(behind, last);
  check_lines(text);
  piece.head = text.substr(head, head_end + 1 - head);
  piece.lines = text.substr(head_end + 1);
  return piece;
}

}  // namespace

CellRange cells_in(const std::optional<Part>& part, std::size_t cells) {
  const Part one = part.value_or(Part{});
  return {cells * (one.number - 1) / one.count, cells * one.number / one.count};
}

std::string table_csv(const TableView& view, const std::optional<Part>& part) {
  std::size_t number = cells_in(part, view.all_cells()).from;
  std::string text = part_line(part) + csv_caution() + csv_head(view);
  for (const Cell& cell : view.cells) text += csv_cell(view, number++, cell);
  return text;
}

std::string table_csv(const answer::ShopTableView& view, const std::optional<Part>& part) {
  std::vector<std::string> names{"car", "pump"};
  add_names(names, view.request.show, true);
  const bool chances = view.request.show == decide::Show::chance;
  if (chances) names.emplace_back("reason");
  std::string text = part_line(part, fingerprint(view)) + csv_caution() + csv_line(names);
  for (std::size_t i = 0; i < view.cells.size(); ++i) {
    const std::size_t cell = view.from + i;
    std::vector<std::string> fields{text::escaped(view.car_of(cell)),
                                    text::escaped(view.pump_of(cell))};
    if (view.cells[i].chance || view.cells[i].litres) {
      add(fields, view.cells[i], view.request.show, true);
      if (chances) fields.emplace_back();
    } else {
      fields.resize(names.size() - 1);
      fields.push_back(text::escaped(answer::reason_of(view, i)));
    }
    text += csv_line(fields);
  }
  return text;
}

void check_part(const std::string& text) {
  piece_of(text);
}

std::string joined_csv(const std::vector<std::string>& parts) {
  std::map<std::size_t, Piece> pieces;
  for (const std::string& text : parts) {
    Piece piece = piece_of(text);
    const std::size_t number = piece.number;
    if (!pieces.empty() &&
        (pieces.begin()->second.head != piece.head || pieces.begin()->second.whose != piece.whose ||
         pieces.begin()->second.count != piece.count)) {
      throw Error("is a part of another table", "parts of one table are accepted");
    }
    if (!pieces.emplace(number, std::move(piece)).second) {
      throw Error("part " + std::to_string(number) + " is given twice",
                  "each part once is accepted");
    }
  }
  if (pieces.empty()) throw Error("no part is given", k_parts_accepted);
  const std::size_t count = pieces.begin()->second.count;
  std::string whole = csv_caution() + pieces.begin()->second.head;
  for (std::size_t number = 1; number <= count; ++number) {
    const auto found = pieces.find(number);
    if (found == pieces.end()) {
      throw Error("part " + std::to_string(number) + " of " + std::to_string(count) + " is missing",
                  "all parts are accepted");
    }
    whole += found->second.lines;
  }
  return whole;
}

}  // namespace blendrisk::render
