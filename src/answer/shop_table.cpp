#include "answer/shop_table.hpp"

#include <algorithm>
#include <cmath>

#include "answer/shared.hpp"
#include "answer/table.hpp"
#include "answer/words.hpp"
#include "models/infinity.hpp"

namespace blendrisk::answer {
namespace {

using decide::Cell;
using decide::Show;

constexpr int k_shades = 5;

/// Reasons, each once, by the number that cells carry in place of a number.
class Reasons {
 public:
  explicit Reasons(const ShopTableView& view) : view_(view) {
    for (std::size_t i = 0; i < view.cells.size(); ++i) {
      const std::string why = reason_of(view, i);
      if (!why.empty() && std::ranges::count(all_, why) == 0) all_.push_back(why);
    }
  }
  /// "none [1]", or what the cell holds.
  Value shown(std::size_t cell) const {
    const std::string why = reason_of(view_, cell);
    if (why.empty()) return shown_cell(view_.cells[cell], view_.request.show);
    const auto at = std::ranges::find(all_, why) - all_.begin();
    return say("shop.none", count(static_cast<std::uint64_t>(at + 1)));
  }
  /// "[1] none: no amount meets the accepted risk".
  std::vector<Value> told() const {
    std::vector<Value> lines;
    for (std::size_t i = 0; i < all_.size(); ++i) {
      lines.push_back(say("shop.reason", count(i + 1), text(all_[i])));
    }
    return lines;
  }

 private:
  const ShopTableView& view_;
  std::vector<std::string> all_;
};

bool any_again(const ShopTableView& view) {
  return std::ranges::any_of(view.cells,
                             [](const Cell& cell) { return cell.again_from_l.has_value(); });
}

/// What a cell's shade goes by; not a number where it has none. All chances below a millionth are
/// small alike.
double size_of(const Cell& cell) {
  if (cell.chance) return std::log10(std::max(cell.chance->chance, 1e-6));
  return cell.litres ? *cell.litres : std::nan("");
}

Json axis_of(const std::string& key, const std::vector<std::string>& titles,
             const std::vector<std::string>& files) {
  return Members()("key", key)("values", Json(titles))("files", Json(files));
}

}  // namespace

std::string shop_title(std::size_t cars, std::size_t pumps) {
  return shown(say("shop.title", say(cars == 1 ? "shop.car" : "shop.cars", count(cars)),
                   say(pumps == 1 ? "shop.pump" : "shop.pumps", count(pumps))));
}

std::string reason_of(const ShopTableView& view, std::size_t cell) {
  if (!view.refused[cell].empty()) return view.refused[cell];
  const Cell& one = view.cells[cell];
  return one.chance || one.litres ? std::string() : none_reason(view.request.show);
}

Description described(const Asked& asked, const ShopTableView& view) {
  const Reasons reasons(view);
  Description all = opened(asked);
  all.verdict = {meaning_of_cells(view.request.show, view.accepted_risk)};
  Section grid;
  grid.grid.lines.push_back({{}});
  for (const std::string& pump : view.pumps) grid.grid.lines[0].push_back(text(pump));
  for (std::size_t i = 0; i < view.cells.size(); ++i) {
    if (view.begins_row(i)) grid.grid.lines.push_back({text(view.car_of(i))});
    grid.grid.lines.back().push_back(reasons.shown(i));
  }
  all.sections.push_back(std::move(grid));
  if (any_again(view)) all.sections.push_back({.text = {say("table.again")}});
  if (auto told = reasons.told(); !told.empty()) all.sections.push_back({.text = std::move(told)});
  close(
      all, asked, About::nothing,
      {method_row(methods_text_of(view.cells)), {say("table.row.cells"), count(view.cells.size())}},
      {});
  return all;
}

Json members(const Asked& asked, const ShopTableView& view) {
  const Show show = view.request.show;
  std::uint64_t evaluations = 0;
  Json rows = Json::array();
  for (std::size_t i = 0; i < view.cells.size(); ++i) {
    evaluations += view.cells[i].effort.evaluations;
    if (view.begins_row(i)) rows.push_back(Json::array());
    const std::string why = reason_of(view, i);
    Json cell = cell_members(view.cells[i], show);
    if (!why.empty()) {
      const char* name = show == Show::amount ? "safe_amount"
                         : show == Show::heel ? "highest_indicated"
                                              : "chance";
      cell = Members()(name, Json(nullptr))("reason", why);
    }
    rows.back().push_back(std::move(cell));
  }
  Members object = opening("table", asked, methods_text_of(view.cells));
  object("evaluations", evaluations)("elapsed_s", asked.elapsed_s)("show", show_name(show));
  object("rows", axis_of("car", view.cars, view.car_files));
  object("columns", axis_of("pump", view.pumps, view.pump_files));
  object("cells", rows);
  if (show != Show::chance) {
    object(other_end_name(show) + "_reason",
           show == Show::amount ? "none.cell.largest"_w : "none.cell.lowest"_w);
  }
  if (show == Show::amount) object("again_from_reason", "none.cell.again"_w);
  return object;
}

Figure shop_figure(const std::string& title, const ShopTableView& view, UnitSystem units) {
  const Reasons reasons(view);
  const Show show = view.request.show;
  double low = k_infinity;
  double high = -k_infinity;
  for (const Cell& cell : view.cells) {
    low = std::fmin(low, size_of(cell));
    high = std::fmax(high, size_of(cell));
  }
  Figure figure;
  figure.title = title;
  figure.y.title = shown(meaning_of_cells(show, view.accepted_risk), units);
  figure.matrix_columns = view.pumps;
  std::string alt;
  for (std::size_t i = 0; i < view.cells.size(); ++i) {
    if (view.begins_row(i)) figure.matrix.push_back({view.car_of(i), {}});
    const double share = high > low ? (size_of(view.cells[i]) - low) / (high - low) : 0.0;
    const int shade = reason_of(view, i).empty()
                          ? std::min(k_shades - 1, static_cast<int>(k_shades * share))
                          : k_no_shade;
    const std::string said = shown(reasons.shown(i), units);
    figure.matrix.back().cells.push_back({shade, said});
    const Value one = say("shop.alt.cell", text(view.car_of(i)), text(view.pump_of(i)), text(said));
    alt = alt.empty() ? shown(one) : shown(say("list.clause", text(alt), one));
  }
  const std::string darker = show == Show::amount ? "shop.darker.amount"
                             : show == Show::heel ? "shop.darker.heel"
                                                  : "shop.darker.chance";
  if (high > low) figure.notes.push_back(shown(say(darker)));
  if (any_again(view)) figure.notes.push_back("table.again"_w);
  for (const Value& why : reasons.told()) figure.notes.push_back(shown(why));
  figure.alt = shown(say("shop.alt", text(alt)));
  return figure;
}

}  // namespace blendrisk::answer
