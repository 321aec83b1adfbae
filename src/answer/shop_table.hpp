#pragma once

#include <optional>
#include <string>
#include <vector>

#include "answer/answers.hpp"
#include "answer/figure.hpp"
#include "decide/sweep.hpp"

/// What `table` answers for every car of a shop with every pump.
namespace blendrisk::answer {

struct ShopTableView {
  std::vector<std::string> cars, pumps;            ///< titles
  std::vector<std::string> car_files, pump_files;  ///< as found
  std::optional<double> accepted_risk;             ///< where it is one for all
  decide::SweepRequest request{.show = decide::Show::amount};
  /// Car by car; or a contiguous share of them, the first of which has the number `from`.
  std::vector<decide::Cell> cells;
  std::vector<std::string> refused;  ///< one a cell: why it cannot be answered, empty where it is
  std::size_t from = 0;

  /// A car a row, a pump a column.
  decide::GridShape shape() const { return {cars.size(), pumps.size()}; }
  const std::string& car_of(std::size_t cell) const { return cars[shape().row_of(cell)]; }
  const std::string& pump_of(std::size_t cell) const { return pumps[shape().column_of(cell)]; }
  bool begins_row(std::size_t cell) const { return shape().column_of(cell) == 0; }
};

/// Why a cell has no number; empty where it has one.
std::string reason_of(const ShopTableView& view, std::size_t cell);

/// One grid, with the reasons of its cells below it. @pre it has all cells
Description described(const Asked& asked, const ShopTableView& view);

/// rows, columns, cells (rows of columns, each an object with its reason). @pre it has all cells
Json members(const Asked& asked, const ShopTableView& view);

/// The grid as a picture: shaded cells with their numbers. @pre it has all cells
Figure shop_figure(const std::string& title, const ShopTableView& view, UnitSystem units);

/// "6 cars with 3 pumps".
std::string shop_title(std::size_t cars, std::size_t pumps);

}  // namespace blendrisk::answer
