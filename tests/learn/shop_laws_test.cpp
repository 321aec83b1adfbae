#include "learn/shop_laws.hpp"

#include <gtest/gtest.h>

#include <numeric>
#include <string>
#include <vector>

#include "tests/scenarios.hpp"

namespace blendrisk::learn::shop_laws_test {
namespace {

const std::string k_header =
    "date,car,pump,indicated_l,distance_left_km,shown_l,stopped_by,heel_l,pump_test_percent,"
    "reading_percent,landed_test_percent\n";

ShopLog log_of(const std::string& rows) {
  return read_shop_log("log.csv", k_header + rows);
}

std::vector<std::size_t> all_rows(const ShopLog& log) {
  std::vector<std::size_t> rows(log.rows());
  std::iota(rows.begin(), rows.end(), std::size_t{0});
  return rows;
}

scenario::Scenario car(const std::string& more = "") {
  return testing::scenario_of(
      "[tank]\ncapacity = 50 L\nclick-off = normal(50 L, 1 L)\n[heel]\nindicated = 8 L\n"
      "content = 8 %\n[fuel]\ncontent = 75 %\nmeter-error = 1 %\n[limits]\nminimum = 60 %\n" +
      more);
}

const std::string k_two_cars =
    "2031-01-03,a,n,8,,40.5,click-off,,75,66,66.5\n"
    "2031-01-20,b,s,5,,33,click-off,,79,70,69\n"
    "2031-02-05,a,n,6,,42.5,click-off,6.5,74,67,66.9\n"
    "2031-02-06,a,n,7,,30,hand,,,60,60.2\n"
    "2031-02-20,b,s,4,,34.4,click-off,,78,71,69.5\n"
    "2031-03-02,a,s,9,,39.9,click-off,,80,,\n";

// Each part takes its own rows: the pump's those of both cars, the gauge's the car's fills to
// click-off and its measured heel.
TEST(ShopLaws, EachPartTakesItsRows) {
  const ShopLog log = log_of(k_two_cars);
  const scenario::Scenario asked = car();
  ShopQuestion question;
  question.car = &asked;
  question.of_car = 0;
  const ShopLaws laws = shop_laws(log, all_rows(log), question);
  EXPECT_EQ(laws.of_car, 4U);
  ASSERT_TRUE(laws.pump.part && laws.sensor.part && laws.gauge.part);
  EXPECT_EQ(laws.pump.part->laws.tests, 5U);
  EXPECT_EQ(laws.pump.part->names, (std::vector<std::string>{"n", "s"}));
  EXPECT_EQ(laws.pump.part->law(), nullptr);
  EXPECT_EQ(laws.sensor.part->checks, 5U);
  EXPECT_EQ(laws.sensor.part->own()->checks, 3U);
  EXPECT_TRUE(laws.sensor.part->is_own());
  EXPECT_EQ(laws.gauge.part->laws.fills, 3U);
  EXPECT_EQ(laws.gauge.part->laws.heels, 1U);
  // Shown with 1 % on it and indicated, 48.905, 48.925 and 49.299 L: the error is about 1 L.
  EXPECT_NEAR(laws.gauge.part->laws.error->center, 0.8, 0.5);
  // A part of the rows, here those of the other car.
  const ShopLaws some = shop_laws(log, std::vector<std::size_t>{1, 4}, question);
  EXPECT_FALSE(some.gauge.part);
  EXPECT_EQ(some.gauge.why, Untold::no_fill);
  EXPECT_FALSE(some.sensor.part->is_own());
  EXPECT_EQ(some.pump.part->chosen, 0U);
}

TEST(ShopLaws, AChosenPumpWithoutTestsHasTheLawOfAFurtherOne) {
  const ShopLog log = log_of(k_two_cars + "2031-03-09,a,west,9,,39.9,click-off,,,,\n");
  ShopQuestion question;
  question.pump = 1;
  const PumpPart south = *shop_laws(log, all_rows(log), question).pump.part;
  EXPECT_EQ(south.law(), &*south.laws.pumps[1].law);
  EXPECT_EQ(south.contents, (std::vector<double>{0.79, 0.78, 0.80}));
  question.pump_alone = true;
  const PumpPart alone = *shop_laws(log, all_rows(log), question).pump.part;
  EXPECT_EQ(alone.law()->scale, south.law()->scale);
  EXPECT_FALSE(alone.laws.pumps[0].law || alone.laws.new_pump);
  question.pump = 2;
  const PumpPart west = *shop_laws(log, all_rows(log), question).pump.part;
  EXPECT_TRUE(west.untested);
  EXPECT_EQ(west.law(), &*west.laws.new_pump);
  EXPECT_GT(west.law()->scale, south.law()->scale);
}

TEST(ShopLaws, TheScenariosTesterIsTakenOut) {
  const ShopLog log = log_of(k_two_cars);
  const scenario::Scenario exact = car();
  const scenario::Scenario biased = car("[tester]\nbias = normal(1 %, 0.5 %)\nsd = 0.1 %\n");
  ShopQuestion question;
  question.of_car = 0;
  question.pump = 0;
  question.car = &exact;
  const ShopLaws without = shop_laws(log, all_rows(log), question);
  question.car = &biased;
  const ShopLaws with = shop_laws(log, all_rows(log), question);
  EXPECT_NEAR(with.sensor.part->bias()->center - without.sensor.part->bias()->center, 0.01, 1e-12);
  EXPECT_GT(with.sensor.part->bias()->scale, 0.005);
  EXPECT_NEAR(with.pump.part->law()->center - without.pump.part->law()->center, -0.01, 2e-3);
  EXPECT_EQ(with.pump.part->laws.scatter, TesterScatter::known);
}

// A trip computer's range is an indication where the scenario says what it reckons with.
TEST(ShopLaws, ADistanceIsAnIndicationByTheScenariosEconomy) {
  const ShopLog log = log_of(
      ",a,n,,80,41,click-off,,,,\n,a,n,,60,42.5,click-off,,,,\n,a,n,,100,38.9,click-off,,,,\n");
  ShopQuestion question;
  const scenario::Scenario blind = car();
  question.car = &blind;
  question.of_car = 0;
  EXPECT_EQ(shop_laws(log, all_rows(log), question).gauge.why, Untold::no_fill);
  const scenario::Scenario reckoning = testing::scenario_of(
      "[tank]\ncapacity = 50 L\n[heel]\ndistance-left = 80 km\neconomy = 10 L/100km\ncontent = 8 "
      "%\n[fuel]\ncontent = 75 %\n[limits]\nminimum = 60 %\n");
  question.car = &reckoning;
  const auto gauge = shop_laws(log, all_rows(log), question).gauge.part;
  ASSERT_TRUE(gauge && gauge->laws.error);
  EXPECT_NEAR(gauge->laws.error->center, (1.0 + 1.5 + 1.1) / 3.0, 0.01);
  EXPECT_FALSE(gauge->laws.click_off);
}

TEST(ShopLaws, WhatIsNotAskedOrNotThereIsSaid) {
  const ShopLog log = log_of("2031-01-03,a,n,8,,41,hand,,,,\n2031-01-04,b,n,8,,41,hand,,,,\n");
  const ShopLaws alone = shop_laws(log, all_rows(log), {});
  EXPECT_EQ(alone.pump.why, Untold::no_pump_test);
  EXPECT_EQ(alone.sensor.why, Untold::not_asked);
  EXPECT_EQ(alone.gauge.why, Untold::not_asked);
  EXPECT_FALSE(alone.any());
  const scenario::Scenario asked = car();
  ShopQuestion question;
  question.car = &asked;
  EXPECT_EQ(shop_laws(log, all_rows(log), question).gauge.why, Untold::no_such_car);
  question.of_car = 1;
  const ShopLaws laws = shop_laws(log, all_rows(log), question);
  EXPECT_EQ(laws.sensor.why, Untold::no_check);
  EXPECT_EQ(laws.gauge.why, Untold::no_fill);
}

}  // namespace
}  // namespace blendrisk::learn::shop_laws_test
