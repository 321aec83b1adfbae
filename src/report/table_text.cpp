#include "report/table_text.hpp"

#include <algorithm>
#include <charconv>
#include <map>
#include <stdexcept>
#include <string_view>

#include "report/advice.hpp"
#include "report/csv.hpp"
#include "report/json_parts.hpp"
#include "report/labels.hpp"
#include "report/methods_text.hpp"
#include "report/plain_text.hpp"
#include "report/sections.hpp"
#include "scenario/quoting.hpp"

namespace blendrisk::report {
namespace {

using decide::Cell;
using decide::Show;

constexpr std::string_view k_part_head = "# blendrisk table, part ";

std::string_view show_name(Show show) {
  switch (show) {
    case Show::amount:
      return "safe_amount_l";
    case Show::heel:
      return "highest_indicated_l";
    case Show::chance:
      break;
  }
  return "chance";
}

/// Of all cells.
std::string methods_of(const TableView& view) {
  estimate::Methods methods;
  for (const Cell& cell : view.cells) methods |= cell.methods;
  return methods_text(methods);
}

/// The other end of what is within the risk.
std::string_view other_end_name(Show show) {
  return show == Show::amount ? "largest_amount" : "lowest_for_limits";
}

std::string other_end_reason(Show show) {
  return show == Show::amount
             ? "where a cell has none, no limit binds before the tank is full"
             : "where a cell has none, no lower reading is outside the accepted risk";
}

std::string_view none_reason(Show show) {
  return show == Show::amount ? "no amount meets the accepted risk"
                              : "no reading meets the accepted risk";
}

/// What a cell holds, with the risk where there is one for all cells, and what it does not say.
std::string meaning(const TableView& view, const scenario::Scenario& scenario) {
  constexpr std::string_view risk_key = "limits.accepted-risk";
  const bool one_risk = view.rows.key != risk_key && view.columns.key != risk_key;
  const std::string within =
      " keeps the chance of landing outside the limits within " +
      (one_risk ? accepted_risk_text(scenario) : std::string("the accepted risk"));
  constexpr const char* not_dry = " Running dry is not asked here; `heel` tells.";
  switch (view.show) {
    case Show::amount:
      return "The smallest amount on the dispenser that" + within +
             ", and the largest where a limit binds before the tank is full." + not_dry;
    case Show::heel:
      return "The highest reading from which the fill" + within +
             ", and the lowest where less is outside it." + not_dry;
    case Show::chance:
      break;
  }
  return "The chance of landing outside the limits.";
}

constexpr const char* k_again_mark = " *";

/// "18.87 to 22.52 L"; marked where larger amounts are within the risk again.
std::string cell_text(const Cell& cell, Show show, UnitSystem units) {
  if (cell.chance) return estimate_text(*cell.chance);
  if (!cell.litres) return "none";
  if (show == Show::amount) {
    return amounts_text(*cell.litres, cell.other_end_l, units) +
           (cell.again_from_l ? k_again_mark : "");
  }
  const std::string highest = gauge_text(*cell.litres, units);
  if (!cell.other_end_l) return highest;
  const std::string lowest = gauge_text(*cell.other_end_l, units);
  return lowest.substr(0, lowest.find(' ')) + " to " + highest;
}

std::string grid(const TableView& view, std::size_t which, UnitSystem units) {
  const auto shown = [units](const std::string& value) {
    return cleaned(units == UnitSystem::us ? in_gallons(value) : value);
  };
  std::vector<std::vector<std::string>> lines;
  lines.push_back({""});
  for (const std::string& value : view.columns.values) lines[0].push_back(shown(value));
  std::size_t at = which * view.cells_each();
  for (const std::string& value : view.rows.values) {
    lines.push_back({shown(value)});
    for (std::size_t c = 0; c < view.columns.values.size(); ++c) {
      lines.back().push_back(cell_text(view.cells[at++], view.show, units));
    }
  }
  std::vector<std::size_t> widths(lines[0].size(), 0);
  for (const auto& line : lines) {
    for (std::size_t c = 0; c < line.size(); ++c) widths[c] = std::max(widths[c], width(line[c]));
  }
  std::string text;
  for (const auto& line : lines) {
    std::string row_text = " ";
    for (std::size_t c = 0; c < line.size(); ++c) {
      row_text += " " + std::string(widths[c] - width(line[c]) + 1, ' ') + line[c];
    }
    text += row_text + "\n";
  }
  return text;
}

std::string csv_head(const TableView& view) {
  std::string line =
      "scenario," + csv_field(view.rows.key) + "," + csv_field(view.columns.key) + ",";
  if (view.show == Show::chance) {
    return line + "chance,standard_error,interval_95_low,interval_95_high\n";
  }
  line.append(show_name(view.show)).append(",").append(other_end_name(view.show)).append("_l,");
  return line + (view.show == Show::amount ? "again_from_l,reason\n" : "reason\n");
}

std::string csv_cell(const TableView& view, std::size_t number, const Cell& cell) {
  const std::size_t each = view.cells_each();
  const std::size_t columns = view.columns.values.size();
  std::string line = csv_field(scenario::escaped(view.files[number / each])) + "," +
                     csv_field(view.rows.values[number % each / columns]) + "," +
                     csv_field(view.columns.values[number % columns]) + ",";
  if (cell.chance) {
    return line + csv_number(cell.chance->chance) + "," + csv_number(cell.chance->standard_error) +
           "," + csv_number(cell.chance->interval[0]) + "," + csv_number(cell.chance->interval[1]) +
           "\n";
  }
  const auto add = [&line](const std::optional<double>& value) {
    line += (value ? csv_number(*value) : "") + ",";
  };
  add(cell.litres);
  add(cell.other_end_l);
  if (view.show == Show::amount) add(cell.again_from_l);
  if (!cell.litres) line.append(none_reason(view.show));
  return line + "\n";
}

Json cell_json(const Cell& cell, Show show) {
  if (cell.chance) return estimate_json(*cell.chance);
  if (!cell.litres) return nullptr;
  const auto or_null = [](const std::optional<double>& value) {
    return value ? number(*value) : Json(nullptr);
  };
  Json object = Json::object();
  object[show == Show::amount ? "safe_amount" : "highest_indicated"] = number(*cell.litres);
  object[std::string(other_end_name(show))] = or_null(cell.other_end_l);
  if (show == Show::amount) object["again_from"] = or_null(cell.again_from_l);
  return object;
}

Json axis_json(const scenario::Axis& axis) {
  Json object = Json::object();
  object["key"] = axis.key;
  object["values"] = axis.values;
  return object;
}

/// Lines of a part go on to a terminal as they are.
void check_lines(std::string_view text) {
  for (std::size_t line = 1; !text.empty(); ++line) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    std::string_view row = text.substr(0, end);
    if (row.ends_with('\r')) row.remove_suffix(1);
    const std::string why = scenario::unreadable_because(row);
    if (!why.empty()) {
      throw std::invalid_argument("line " + std::to_string(line) + " " + why +
                                  "; files of `table --part k/n` are accepted");
    }
    text.remove_prefix(std::min(end + 1, text.size()));
  }
}

/// A part's text taken apart.
struct Piece {
  std::size_t number, count;
  std::string head, lines;
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
    throw std::invalid_argument("is no part of a table; files of `table --part k/n` are accepted");
  }
  const auto [of, error] = std::from_chars(at, last, piece.number);
  const std::string_view between(of, static_cast<std::size_t>(last - of));
  constexpr std::string_view k_of = " of ";
  if (error != std::errc() || !between.starts_with(k_of) ||
      std::from_chars(of + k_of.size(), last, piece.count).ec != std::errc() || piece.number == 0 ||
      piece.number > piece.count) {
    throw std::invalid_argument(
        "does not say which part it is; files of `table --part k/n` are accepted");
  }
  check_lines(text);
  piece.head = text.substr(head, head_end + 1 - head);
  piece.lines = text.substr(head_end + 1);
  return piece;
}

}  // namespace

std::size_t first_cell(const Part& part, std::size_t cells) {
  return cells * (part.number - 1) / part.count;
}

std::string table_text(const TableView& view, const estimate::Options& options, UnitSystem units) {
  std::string text;
  bool some_none = false;
  bool some_again = false;
  for (std::size_t s = 0; s < view.scenarios.size(); ++s) {
    const scenario::Scenario& scenario = view.scenarios[s];
    text += (s == 0 ? "" : "\n") + title_lines(scenario);
    text += wrapped(meaning(view, scenario));
    text +=
        "\n  down:   " + label(view.rows.key) + "\n  across: " + label(view.columns.key) + "\n\n";
    text += grid(view, s, units);
  }
  for (const Cell& cell : view.cells) {
    some_none |= !cell.chance && !cell.litres;
    some_again |= cell.again_from_l.has_value();
  }
  if (some_again) {
    text += "\n" + wrapped(std::string(k_again_mark).substr(1) +
                           ": there are larger amounts that are within the risk again, with others "
                           "between that are not; the range with the least fuel is told.");
  }
  if (some_none) text += "\n" + wrapped("none: " + std::string(none_reason(view.show)) + ".");
  if (view.scenarios.size() == 1) {
    scenario::Scenario rest = view.scenarios.front();
    const auto on_axis = [&view](const scenario::Given& given) {
      return given.key == view.rows.key || given.key == view.columns.key;
    };
    std::erase_if(rest.given, on_axis);
    std::erase_if(rest.defaults, on_axis);
    text += assumed_section(rest, units);
  }
  text += heading("How it was computed") + row("method", 16, methods_of(view)) +
          row("cells", 16, std::to_string(view.cells.size())) +
          row("seed", 16, std::to_string(options.seed));
  return text + cautions_section();
}

std::string table_json(const TableView& view, const estimate::Options& options, double elapsed_s) {
  Json object = opening("table", view.scenarios.front(), options, methods_of(view));
  std::uint64_t evaluations = 0;
  for (const Cell& cell : view.cells) evaluations += cell.evaluations;
  object["evaluations"] = evaluations;
  put(object, "elapsed_s", elapsed_s);
  object["show"] = show_name(view.show);
  object["rows"] = axis_json(view.rows);
  object["columns"] = axis_json(view.columns);
  Json all = Json::array();
  std::size_t at = 0;
  bool some_none = false;
  for (std::size_t s = 0; s < view.scenarios.size(); ++s) {
    Json grid_rows = Json::array();
    for (std::size_t r = 0; r < view.rows.values.size(); ++r) {
      Json line = Json::array();
      for (std::size_t c = 0; c < view.columns.values.size(); ++c) {
        const Cell& cell = view.cells[at++];
        some_none |= !cell.chance && !cell.litres;
        line.push_back(cell_json(cell, view.show));
      }
      grid_rows.push_back(std::move(line));
    }
    all.push_back(std::move(grid_rows));
  }
  if (view.scenarios.size() == 1) {
    object["cells"] = std::move(all[0]);
  } else {
    object["scenarios"] = view.files;
    object["cells"] = std::move(all);
  }
  object["reason"] = some_none ? Json(none_reason(view.show)) : Json(nullptr);
  // Once for all cells, of which there may be millions.
  if (view.show != Show::chance) {
    object[std::string(other_end_name(view.show)) + "_reason"] = other_end_reason(view.show);
  }
  if (view.show == Show::amount) {
    object["again_from_reason"] =
        "where a cell has none, no larger amount is within the risk again";
  }
  return closed(std::move(object));
}

std::string table_csv(const TableView& view, const std::optional<Part>& part) {
  std::string text;
  std::size_t number = 0;
  if (part) {
    text.append(k_part_head).append(std::to_string(part->number)).append(" of ");
    text.append(std::to_string(part->count)).append("\n");
    number = first_cell(*part, view.files.size() * view.cells_each());
  }
  text += csv_caution() + csv_head(view);
  for (const Cell& cell : view.cells) text += csv_cell(view, number++, cell);
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
    if (!pieces.empty() && (pieces.begin()->second.head != piece.head ||
                            pieces.begin()->second.count != piece.count)) {
      throw std::invalid_argument("is a part of another table; parts of one table are accepted");
    }
    if (!pieces.emplace(number, std::move(piece)).second) {
      throw std::invalid_argument("part " + std::to_string(number) +
                                  " is given twice; each part once is accepted");
    }
  }
  if (pieces.empty())
    throw std::invalid_argument("no part is given; files of `table --part k/n` are accepted");
  const std::size_t count = pieces.begin()->second.count;
  std::string whole = csv_caution() + pieces.begin()->second.head;
  for (std::size_t number = 1; number <= count; ++number) {
    const auto found = pieces.find(number);
    if (found == pieces.end()) {
      throw std::invalid_argument("part " + std::to_string(number) + " of " +
                                  std::to_string(count) + " is missing; all parts are accepted");
    }
    whole += found->second.lines;
  }
  return whole;
}

}  // namespace blendrisk::report
