#pragma once

#include <cstddef>
#include <deque>
#include <string>
#include <string_view>
#include <vector>

#include "text/error.hpp"

/// CSV text row by row, its first line the names of the columns.
namespace blendrisk::text {

/// What parts the cells of a CSV text with that first line: a semicolon where one comes before any
/// comma, else a comma.
char separator_of(std::string_view header);

/// A cell without its quotes; a doubled quote inside quotes is one quote (RFC 4180, from memory).
std::string unquoted(std::string_view cell);

/// Follows a text that has to outlive it. Lines without anything are skipped, quotes around cells
/// and a byte order mark are allowed.
class CsvRows {
 public:
  /// Reads the names, which are none where the text holds nothing.
  /// @param file  shown in errors   @throws Error naming file and line
  CsvRows(const std::string& file, std::string_view text);

  const std::vector<std::string>& names() const { return names_; }

  /// Goes to the next row; false at the end.
  /// @throws Error naming file and line, for a line that is no text and for one with more cells
  /// than there are names: a decimal comma makes one
  bool next();

  std::size_t line() const { return place_.line; }  ///< of the row, from 1

  /// Trimmed, without its quotes; empty where the line is too short. Holds until the next row.
  std::string_view cell(std::size_t column) const {
    return column < cells_.size() ? cells_[column] : std::string_view();
  }

  /// act(), its errors told of this line; where that begins with # as of a comment, which a line of
  /// a log is not.
  template <class Act>
  void here(const Act& act) const {
    at(place_, [&] {
      try {
        act();
      } catch (const Error&) {
        // A column may be called "#"; where the line does not fit, it was meant as a comment.
        if (is_comment()) refuse_comment();
        throw;
      }
    });
  }

 private:
  bool take_line();  ///< the next that holds anything, split
  void check_count() const;
  bool is_comment() const;
  [[noreturn]] void refuse_comment() const;

  Place place_;
  std::string_view left_, row_;
  char separator_ = ',';
  std::vector<std::string> names_;
  std::vector<std::string_view> cells_;  // of the line
  std::deque<std::string> copies_;       // of cells with quotes; stay where they are as it grows
};

}  // namespace blendrisk::text
