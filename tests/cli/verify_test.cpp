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

/// The scenario's text with another value of a key, "fuel" and "content".
std::string with_key(const std::string& text, const std::string& section, const std::string& key,
                     const std::string& value) {
  const std::size_t from = text.find("[" + section + "]");
  const std::size_t at = text.find("\n" + key, from) + 1;
  return text.substr(0, at) + key + " = " + value + text.substr(text.find('\n', at));
}

// Scenarios of an owner who knows little: off as they are, honest by what the log's rows teach.
TEST(VerifyCommand, LawsLearntFromTheRowsBeforeAreHonest) {
  const TemporaryDirectory directory;
  std::vector<std::string> args{"verify", k_log};
  for (const auto& [path, name] :
       {std::pair(k_hatchback, "hatchback"), std::pair(k_wagon, "wagon")}) {
    std::string text = with_key(contents(path), "fuel", "content", "uniform(51 %, 83 %)");
    text = with_key(text, "heel", "gauge-error", "uniform(-4 L, 4 L)");
    text = with_key(text, "sensor", "bias", "normal(0 %, 3 %)");
    args.push_back(directory.write(std::string(name) + ".ini", text));
  }
  const json as_they_are = answer_of(args);
  EXPECT_EQ(as_they_are.at("all").at("verdict"), "off");
  EXPECT_FALSE(as_they_are.at("learned").get<bool>());
  args.emplace_back("--learn");
  const json learnt = answer_of(args);
  EXPECT_TRUE(learnt.at("learned").get<bool>());
  EXPECT_EQ(learnt.at("all").at("verdict"), "honest");
  EXPECT_LT(learnt.at("all").at("crps").get<double>(),
            0.6 * as_they_are.at("all").at("crps").get<double>());
  EXPECT_EQ(answer_of(on_the_shop({"--learn"})).at("all").at("verdict"), "honest");
  std::vector<std::string> one = args;
  one.insert(one.end(), {"--threads", "1"});
  EXPECT_EQ(answer_of(one).at("all"), learnt.at("all"));
}

// What a row's forecast is learnt from: rows of earlier days, wherever they stand. Keys of the row
// and of options stay.
TEST(VerifyCommand, ARowIsForecastByTheDaysBeforeItAlone) {
  const TemporaryDirectory directory;
  const std::string car = directory.write("van.ini", k_car);
  const std::string header = "date,pump_test_percent,landed_test_percent,fuel.content\n";
  const std::string early =
      "2031-02-01,70,,\n2031-01-20,72,,\n2031-01-03,71,,\n2031-02-10,,70,\n2031-01-01,,76,\n";
  const std::string late = "2031-02-10,60,,\n2031-03-01,50,,\n";
  const auto means = [&](const std::string& rows, const std::vector<std::string>& more) {
    const std::string out = directory.file("rows.csv");
    std::vector<std::string> args{"verify", directory.write("log.csv", header + rows), car,
                                  "--output", out};
    args.insert(args.end(), more.begin(), more.end());
    text_of(args);
    std::vector<double> all;
    const std::string text = contents(out);
    for (std::size_t at = text.find("\nline,"); (at = text.find('\n', at + 1)) + 1 < text.size();) {
      std::size_t cell = at + 1;
      for (int i = 0; i < 4; ++i) cell = text.find(',', cell) + 1;
      all.push_back(std::stod(text.substr(cell)));
    }
    return all;
  };
  const std::vector<double> learnt = means(early, {"--learn"});
  ASSERT_EQ(learnt.size(), 2U);
  EXPECT_NEAR(learnt[0], 0.71, 1e-3);  // by the three tests
  EXPECT_NEAR(learnt[1], 0.76, 1e-3);  // of the first day: by the scenario
  EXPECT_EQ(means(early + late, {"--learn"}), learnt);
  EXPECT_NEAR(means("2031-01-03,70,,\n2031-01-20,72,,\n2031-02-10,,70,65 %\n", {"--learn"})[0],
              0.65, 1e-3);
  EXPECT_NEAR(means(early, {"--learn", "--fuel.content", "65 %"})[0], 0.65, 1e-3);
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
