#include "answer/table.hpp"

#include <algorithm>

#include "answer/shared.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

using decide::Cell;
using decide::Show;

bool is_none(const Cell& cell) {
  return !cell.chance && !cell.litres;
}

bool any(const TableView& view, bool (*holds)(const Cell&)) {
  return std::any_of(view.cells.begin(), view.cells.end(), holds);
}

Value cell_meaning(const TableView& view, const scenario::Scenario& scenario) {
  constexpr std::string_view risk_key = "limits.accepted-risk";
  const bool one_risk = view.rows.key != risk_key && view.columns.key != risk_key;
  return meaning_of_cells(view.request.show,
                          one_risk ? std::optional(scenario.limits.accepted_risk) : std::nullopt);
}

Grid grid(const TableView& view, std::size_t which) {
  Grid grid;
  grid.lines.push_back({{}});
  for (const std::string& value : view.columns.values) grid.lines[0].push_back(given(value));
  std::size_t at = which * view.shape().cells();
  for (const std::string& value : view.rows.values) {
    grid.lines.push_back({given(value)});
    for (std::size_t c = 0; c < view.columns.values.size(); ++c) {
      grid.lines.back().push_back(shown_cell(view.cells[at++], view.request.show));
    }
  }
  return grid;
}

Json axis_members(const scenario::Axis& axis) {
  return Members()("key", axis.key)("values", Json(axis.values));
}

}  // namespace

TablePlace TableView::place_of(std::size_t cell) const {
  const decide::GridShape each = shape();
  const std::size_t in_grid = cell % each.cells();
  return {cell / each.cells(), each.row_of(in_grid), each.column_of(in_grid)};
}

std::string show_name(Show show) {
  return show == Show::amount ? "safe_amount_l"
         : show == Show::heel ? "highest_indicated_l"
                              : "chance";
}

std::string other_end_name(Show show) {
  return show == Show::amount ? "largest_amount" : "lowest_for_limits";
}

std::string none_reason(Show show) {
  return show == Show::amount ? "none.amount"_w : "none.reading"_w;
}

Value meaning_of_cells(Show show, const std::optional<double>& accepted_risk) {
  if (show == Show::chance) return say("table.chance");
  const std::string id = show == Show::amount ? "table.amount" : "table.heel";
  return joined({accepted_risk ? say(id, percent(*accepted_risk)) : say(id + ".varies"),
                 say("table.not_dry")});
}

/// "18.87 to 22.52 L"; marked where larger amounts are within the risk again.
Value shown_cell(const Cell& cell, Show show) {
  if (cell.chance) return chance(*cell.chance);
  if (!cell.litres) return say("none");
  if (show == Show::amount) {
    const Value value = amounts(*cell.litres, cell.other_end_l);
    return cell.again_from_l ? say("table.marked", value) : value;
  }
  if (!cell.other_end_l) return gauge(*cell.litres);
  return say("range", gauge(*cell.other_end_l).without_unit(), gauge(*cell.litres));
}

Json cell_members(const Cell& cell, Show show) {
  if (cell.chance) return json(*cell.chance);
  if (!cell.litres) return nullptr;
  const auto or_null = [](const std::optional<double>& value) {
    return value ? json(*value) : Json(nullptr);
  };
  Members object;
  object(show == Show::amount ? "safe_amount" : "highest_indicated", *cell.litres);
  object(other_end_name(show), or_null(cell.other_end_l));
  if (show == Show::amount) object("again_from", or_null(cell.again_from_l));
  return object;
}

std::vector<Description> described(const Asked& asked, const TableView& view) {
  std::vector<Description> all;
  for (std::size_t s = 0; s < view.scenarios.size(); ++s) {
    const Asked of_this{view.scenarios[s], asked.options, asked.units};
    Description one = opened(of_this);
    one.verdict = {cell_meaning(view, view.scenarios[s])};
    one.sections.resize(2);
    one.sections[0].grid = {{8},
                            {{say("table.down"), text(label(view.rows.key))},
                             {say("table.across"), text(label(view.columns.key))}},
                            {}};
    one.sections[1].grid = grid(view, s);
    all.push_back(std::move(one));
  }
  Description& last = all.back();
  if (any(view, [](const Cell& cell) { return cell.again_from_l.has_value(); })) {
    last.sections.push_back({.text = {say("table.again")}});
  }
  if (any(view, is_none)) {
    last.sections.push_back({.text = {say("table.none", text(none_reason(view.request.show)))}});
  }
  const Asked of_last{view.scenarios.back(), asked.options, asked.units};
  close(
      last, of_last, view.scenarios.size() == 1 ? About::landing : About::nothing,
      {method_row(methods_text_of(view.cells)), {say("table.row.cells"), count(view.cells.size())}},
      {}, {view.rows.key, view.columns.key});
  return all;
}

Json members(const Asked& asked, const TableView& view) {
  std::uint64_t evaluations = 0;
  for (const Cell& cell : view.cells) evaluations += cell.effort.evaluations;
  Json all = Json::array();
  for (std::size_t i = 0; i < view.cells.size(); ++i) {
    const TablePlace place = view.place_of(i);
    if (place.row == 0 && place.column == 0) all.push_back(Json::array());
    if (place.column == 0) all.back().push_back(Json::array());
    all.back().back().push_back(cell_members(view.cells[i], view.request.show));
  }
  Members object = opening("table", asked, methods_text_of(view.cells));
  object("evaluations", evaluations)("elapsed_s", asked.elapsed_s)("show",
                                                                   show_name(view.request.show));
  object("rows", axis_members(view.rows))("columns", axis_members(view.columns));
  const bool several = view.scenarios.size() > 1;
  if (several) object("scenarios", Json(view.files));
  object("cells", several ? all : all[0]);
  object("reason", any(view, is_none) ? Json(none_reason(view.request.show)) : Json(nullptr));
  // Once for all cells, of which there may be millions.
  if (view.request.show != Show::chance) {
    object(other_end_name(view.request.show) + "_reason",
           view.request.show == Show::amount ? "none.cell.largest"_w : "none.cell.lowest"_w);
  }
  if (view.request.show == Show::amount) object("again_from_reason", "none.cell.again"_w);
  return object;
}

}  // namespace blendrisk::answer
