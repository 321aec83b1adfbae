#include "answer/shop_table.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace blendrisk::answer::shop_table_test {
namespace {

using decide::Cell;
using decide::Show;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

Cell amount(double litres) {
  Cell cell;
  cell.litres = litres;
  return cell;
}
Cell chance_of(double value) {
  Cell cell;
  cell.chance = estimate::Estimate{value, 1e-3 * value, {value, value}};
  return cell;
}

/// Two cars with three pumps: two amounts, one that no amount meets, and three that say why.
ShopTableView view_of_amounts() {
  ShopTableView view;
  view.cars = {"van", "wagon"};
  view.pumps = {"north", "river", "south"};
  view.car_files = {"van.ini", "wagon.ini"};
  view.pump_files = {"n.ini", "r.ini", "s.ini"};
  view.accepted_risk = 0.01;
  view.cells = {amount(20.0), amount(60.0), Cell{}, Cell{}, Cell{}, amount(39.9)};
  view.refused = {"", "", "", "too odd", "too odd", ""};
  return view;
}

std::vector<int> shades_of(const Figure& figure) {
  std::vector<int> shades;
  for (const FigureCells& row : figure.matrix) {
    for (const FigureCell& cell : row.cells) shades.push_back(cell.shade);
  }
  return shades;
}

TEST(ShopTableView, ShadesGoFromTheSmallestToTheLargestAndNoneHasNone) {
  const Figure figure = shop_figure("shop", view_of_amounts(), UnitSystem::metric);
  EXPECT_THAT(shades_of(figure), ElementsAre(0, 4, -1, -1, -1, 2));
  EXPECT_EQ(figure.matrix[0].cells[2].text, "none [1]");
  EXPECT_EQ(figure.matrix[1].cells[1].text, "none [2]");
  EXPECT_THAT(figure.notes, ElementsAre(HasSubstr("darker"),
                                        "[1] no amount meets the accepted risk", "[2] too odd"));
  EXPECT_THAT(figure.alt, HasSubstr("van with river 60.00 L; van with south none [1]"));
}

// Ten times likelier is as large a step anywhere, down to a millionth.
TEST(ShopTableView, ShadesOfChancesGoByTheirOrderOfMagnitude) {
  ShopTableView view = view_of_amounts();
  view.request.show = Show::chance;
  view.refused.assign(6, "");
  view.cells = {chance_of(1e-9), chance_of(2e-6), chance_of(3e-5),
                chance_of(2e-3), chance_of(0.1),  chance_of(0.0)};
  EXPECT_THAT(shades_of(shop_figure("shop", view, UnitSystem::metric)),
              ElementsAre(0, 0, 1, 3, 4, 0));
}

TEST(ShopTableView, OneShadeWhereAllIsTheSame) {
  ShopTableView view = view_of_amounts();
  view.refused.assign(6, "");
  view.cells.assign(6, amount(30.0));
  const Figure figure = shop_figure("shop", view, UnitSystem::metric);
  EXPECT_THAT(shades_of(figure), ElementsAre(0, 0, 0, 0, 0, 0));
  EXPECT_TRUE(figure.notes.empty());
}

TEST(ShopTableView, EveryCellOfTheJsonHasItsNumberOrItsReason) {
  const scenario::Scenario named;
  const estimate::Options options;
  const Json json = members({named, options}, view_of_amounts());
  EXPECT_EQ(json["cells"][0][1]["safe_amount"], 60.0);
  EXPECT_TRUE(json["cells"][0][2]["safe_amount"].is_null());
  EXPECT_EQ(json["cells"][0][2]["reason"], "no amount meets the accepted risk");
  EXPECT_EQ(json["cells"][1][0]["reason"], "too odd");
  EXPECT_EQ(json["rows"]["values"], Json({"van", "wagon"}));
  EXPECT_EQ(json["columns"]["files"], Json({"n.ini", "r.ini", "s.ini"}));
}

TEST(ShopTableView, OneIsNoMany) {
  EXPECT_EQ(shop_title(1, 1), "1 car with 1 pump");
  EXPECT_EQ(shop_title(30, 2), "30 cars with 2 pumps");
}

}  // namespace
}  // namespace blendrisk::answer::shop_table_test
