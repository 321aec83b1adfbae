#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tests/cli/temporary_files.hpp"

// verify as a user calls it.
namespace blendrisk::cli::verify_test {
namespace {

using nlohmann::json;
using testing::answer_of;
using testing::contents;
using testing::expect_refused;
using testing::TemporaryDirectory;
using testing::text_of;

const std::string k_log = testing::source_dir() + "/examples/invented-shop.csv";
const std::string k_hatchback = testing::source_dir() + "/examples/shop/hatchback.ini";
const std::string k_wagon = testing::source_dir() + "/examples/shop/wagon.ini";

std::vector<std::string> on_the_shop(const std::vector<std::string>& more = {}) {
  std::vector<std::string> args{"verify", k_log, k_hatchback, k_wagon};
  args.insert(args.end(), more.begin(), more.end());
  return args;
}

/// An empty tank that lands at what the pump gives, 76 +- 4 %. Invented.
constexpr const char* k_car = R"([tank]
capacity = 60 L
[heel]
indicated = 0 L
content = 10 %
[fuel]
content = normal(76 %, 4 %)
[limits]
minimum = 70 %
)";

TEST(VerifyCommand, LawsThatAreTrueAreHonestAndATypingErrorIsNamed) {
  const json answer = answer_of(on_the_shop({"--group", "car"}));
  EXPECT_EQ(answer.at("command"), "verify");
  EXPECT_EQ(answer.at("all").at("verdict"), "honest");
  ASSERT_EQ(answer.at("rows_excluded").size(), 1U);
  EXPECT_EQ(answer.at("rows_excluded")[0].at("line"), 28);
  EXPECT_EQ(answer.at("rows_excluded")[0].at("key"), "fill.shown");
  EXPECT_EQ(answer.at("groups").size(), 2U);
  EXPECT_EQ(answer.at("all").at("rows").get<int>() + 1, answer.at("rows_tested").get<int>());
  const json& misses = answer.at("all").at("misses");
  EXPECT_LE(misses.at("range_95")[0], misses.at("seen"));
  EXPECT_GE(misses.at("range_95")[1], misses.at("seen"));
  EXPECT_GT(answer.at("all").at("skill").get<double>(), 0.0);
  EXPECT_NE(text_of(on_the_shop()).find("HONEST, as far as"), std::string::npos);
}

TEST(VerifyCommand, LawsThatAreWrongAreFoundOut) {
  const auto verdict = [](const std::vector<std::string>& keys) {
    return answer_of(on_the_shop(keys)).at("all").at("verdict").get<std::string>();
  };
  EXPECT_EQ(verdict({"--fuel.content", "normal(76 %, 1 %)", "--tester.sd", "0.3 %"}), "too sure");
  EXPECT_EQ(verdict({"--tester.sd", "5 %"}), "not sure enough");
  EXPECT_EQ(verdict({"--tester.bias", "3 %"}), "off");
  const std::string text = text_of(on_the_shop({"--tester.bias", "3 %"}));
  EXPECT_NE(text.find("OFF: the tests lie"), std::string::npos);
  EXPECT_NE(text.find("below their forecasts"), std::string::npos);
}

// What the tests of five rows come to by hand: shares of N(76 %, 4 %), misses of 70 %.
TEST(VerifyCommand, NumbersAreThoseOfTheLaws) {
  const TemporaryDirectory directory;
  const std::string car = directory.write("van.ini", k_car);
  const std::string log = directory.write(
      "log.csv", "landed_test_percent,limits.minimum\n76,\n72,\n80,\n69,\n76,80 %\n");
  const std::string rows = directory.file("rows.csv");
  const json answer = answer_of({"verify", log, car, "--output", rows});
  const json& all = answer.at("all");
  EXPECT_EQ(all.at("verdict"), "cannot tell");
  // (0 - 1 + 1 - 1.75 + 0)/5 standard deviations of 4 %.
  EXPECT_NEAR(all.at("shift").get<double>(), -0.35 * 0.04, 2e-4);
  // Chances of less than 70 % and 80 %: 0.0668072 and 0.8413447 (from tables of the normal law).
  EXPECT_NEAR(all.at("misses").at("expected").get<double>(), 4 * 0.0668072 + 0.8413447, 3e-3);
  EXPECT_EQ(all.at("misses").at("seen"), 2);
  EXPECT_EQ(all.at("coverage")[0].at("held"), 2);  // within 0.6745 standard deviations
  EXPECT_EQ(all.at("coverage")[1].at("held"), 4);
  EXPECT_NEAR(all.at("plain_error").get<double>(), (0.0 + 0.04 + 0.04 + 0.07 + 0.0) / 5, 1e-12);
  const std::string text = contents(rows);
  EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 7);
  EXPECT_NE(text.find("\nline,date,car,test,mean,"), std::string::npos);
}

TEST(VerifyCommand, EveryRowIsOfItsOwnCar) {
  const TemporaryDirectory directory;
  const std::string van = directory.write("van.ini", k_car);
  const std::string bus = directory.write("b.ini", "title = Bus\n" + std::string(k_car));
  const std::string log =
      directory.write("log.csv", "car,landed_test_percent\nVan,76\nbus,77\nvan,\n");
  EXPECT_EQ(answer_of({"verify", log, van, bus}).at("rows_tested"), 2);
  EXPECT_EQ(answer_of({"verify", log, van, "--where", "car=Van"}).at("rows_chosen"), 1);
  expect_refused({"verify", log, van}, log + ":3: car: no scenario is called 'bus'");
  const std::string alone = directory.write("alone.csv", "landed_test_percent\n76\n");
  expect_refused({"verify", alone, van, bus}, alone + ":1: has no column car");
}

TEST(VerifyCommand, BadInputIsToldWithItsLine) {
  const TemporaryDirectory directory;
  const std::string car = directory.write("van.ini", k_car);
  const auto refused = [&](const std::string& log, const std::string& with,
                           const std::vector<std::string>& more = {}) {
    const std::string path = directory.write("log.csv", log);
    std::vector<std::string> args{"verify", path, car};
    args.insert(args.end(), more.begin(), more.end());
    expect_refused(args, path + with);
  };
  refused("car,shown_l\nvan,40\n", ":1: no column landed_test_percent; the columns are");
  refused("landed_test_percent,car\n,van\n", ": landed_test_percent: no row has a value");
  refused("landed_test_percent,shown_l\n76,40\n",
          ":2: stopped_by: is missing beside what the dispenser showed; click-off or hand");
  refused("landed_test_percent,shown_l,stopped_by\n76,60,click-off\n",
          ":2: fill.shown: has nothing uncertain of its own to tell of");
  refused("landed_test_percent,indicated_l\n75,3\n76,61\n",
          ":3: heel.indicated: leaves more in the tank than tank.capacity");
  refused("landed_test_percent,fuel.content\n75,\n76,E85\n", ":3: fuel.content: ");
  refused("landed_test_percent,distance_left_km\n76,30\n", ":2: ");
  refused("landed_test_percent,tester.sd\n76,-1 %\n", ":2: tester.sd: ");
  refused("landed_test_percent\n176\n", ":2: landed_test_percent: '176' is out of range");
  refused("landed_test_percent,car\n76,van\n", ": car: no row has 'bus'", {"--where", "car=bus"});
  expect_refused({"verify", car}, "verify: a log and a scenario are wanted");
  expect_refused({"verify", k_log, k_wagon, "--where", "car"}, "--where: 'car' is not accepted");
  expect_refused({"verify", k_log, k_wagon, "--precision", "1 %"}, "--precision: is an option of");
  const std::string two = directory.write(
      "two.ini", std::string(k_car) + "[fill-2]\ncontent = 75 %\nburn-first = 10 L\n");
  const std::string log = directory.write("log.csv", "landed_test_percent\n76\n");
  expect_refused({"verify", log, two}, "has several fills, and a row of a log is one");
}

TEST(VerifyCommand, OptionsWinOverColumnsAndColumnsOverTheFile) {
  const TemporaryDirectory directory;
  const std::string car = directory.write("van.ini", k_car);
  const std::string log = directory.write("log.csv", "landed_test_percent,fuel.content\n76,80 %\n");
  const auto miss = [&](const std::vector<std::string>& more) {
    std::vector<std::string> args{"verify", log, car, "--tester.sd", "1 %"};
    args.insert(args.end(), more.begin(), more.end());
    return answer_of(args).at("all").at("plain_error").get<double>();
  };
  EXPECT_NEAR(miss({}), 0.04, 1e-12);
  EXPECT_NEAR(miss({"--fuel.content", "75 %"}), 0.01, 1e-12);
}

TEST(VerifyCommand, AMeasuredHeelTakesThePlaceOfTheGauge) {
  const TemporaryDirectory directory;
  const std::string car = directory.write("van.ini", k_car);
  const std::string log =
      directory.write("log.csv", "landed_test_percent,indicated_l,heel_l\n70,10,6\n70,10,\n");
  const std::string rows = directory.file("rows.csv");
  text_of({"verify", log, car, "--heel.gauge-error", "normal(0 L, 2 L)", "--fuel.content", "76 %",
           "--output", rows});
  const std::string text = contents(rows);
  const std::string measured = text.substr(text.find("\n2,,,0.7,") + 9);
  // (6 * 10 % + 54 * 76 %)/60 = 69.4 %, known to a hundredth of a litre, whatever the gauge errs
  // by.
  EXPECT_NEAR(std::stod(measured), 0.694, 1e-5);
  EXPECT_LT(std::stod(measured.substr(measured.find(',') + 1)), 1e-4);
}

}  // namespace
}  // namespace blendrisk::cli::verify_test
