#include "text/csv.hpp"

#include "text/lines.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"

namespace blendrisk::text {

char separator_of(std::string_view header) {
  bool inside = false;
  for (const char c : header) {
    if (c == '"') inside = !inside;
    if (!inside && (c == ',' || c == ';')) return c;
  }
  return ',';
}

std::string unquoted(std::string_view cell) {
  std::string text;
  bool inside = false;
  for (std::size_t i = 0; i < cell.size(); ++i) {
    if (cell[i] != '"') {
      text += cell[i];
    } else if (inside && i + 1 < cell.size() && cell[i + 1] == '"') {
      text += cell[++i];
    } else {
      inside = !inside;
    }
  }
  return text;
}

CsvRows::CsvRows(const std::string& file, std::string_view text)
    : place_{file}, left_(without_mark(text)) {
  if (!take_line()) return;
  names_.assign(cells_.begin(), cells_.end());
}

bool CsvRows::next() {
  if (!take_line()) return false;
  here([&] { check_count(); });
  return true;
}

bool CsvRows::take_line() {
  do {
    if (left_.empty()) return false;
    row_ = next_line(left_);
    ++place_.line;
  } while (trimmed(row_).empty());
  const std::string why = unreadable_because(row_);
  if (!why.empty()) {
    throw Error("the line " + in_quotes(row_) + " " + why, "CSV is accepted", place_);
  }
  if (names_.empty()) separator_ = separator_of(row_);
  take_pieces(cells_, row_, separator_);
  copies_.clear();
  for (std::string_view& cell : cells_) {
    if (cell.find('"') == std::string_view::npos) continue;
    cell = trimmed(copies_.emplace_back(unquoted(cell)));
  }
  return true;
}

/// Empty cells at the end are what spreadsheets leave.
void CsvRows::check_count() const {
  for (std::size_t i = names_.size(); i < cells_.size(); ++i) {
    if (cells_[i].empty()) continue;
    throw Error(
        "has " + std::to_string(cells_.size()) + " cells under " + std::to_string(names_.size()) +
            " names",
        "a cell a name is accepted, with decimal points (a decimal comma parts a cell in two)");
  }
}

bool CsvRows::is_comment() const {
  return trimmed(row_).starts_with('#');
}

void CsvRows::refuse_comment() const {
  throw Error("the line " + in_quotes(row_) + " is a comment",
              "a line of column names and lines of values alone are accepted");
}

}  // namespace blendrisk::text
