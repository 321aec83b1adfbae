#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "tests/cli/temporary_files.hpp"

// `table` of every car of the invented shop with every pump.
namespace blendrisk::cli::shop_table_test {
namespace {

using nlohmann::json;
using testing::answer_of;
using testing::contents;
using testing::expect_refused;
using ::testing::HasSubstr;
using testing::run_with;
using testing::source_dir;
using testing::TemporaryDirectory;
using testing::text_of;

using Args = std::vector<std::string>;

std::string cars() {
  return source_dir() + "/examples/fleet/cars/*.ini";
}
std::string pumps() {
  return source_dir() + "/examples/fleet/pumps/*-winter.ini";
}
Args shop(const Args& more = {}) {
  Args args{"table", "--cars", cars(), "--pumps", pumps()};
  args.insert(args.end(), more.begin(), more.end());
  return args;
}

std::size_t lines_of(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

constexpr const char* k_pump = "[fuel]\ncontent = normal(76 %, 2 %)\n";

// The same cell of one scenario written out by hand, over one key that it has anyway.
TEST(ShopTable, ACellIsWhatTheTwoFilesAsOneScenarioAnswer) {
  const TemporaryDirectory files;
  const std::string one = files.write(
      "one.ini", "include = " + source_dir() + "/examples/fleet/cars/van.ini\n" +
                     "include = " + source_dir() + "/examples/fleet/pumps/north-winter.ini\n");
  for (const char* show : {"amount", "heel", "chance"}) {
    const json whole = answer_of(shop({"--show", show}));
    EXPECT_EQ(whole["rows"]["values"][4], "Invented van");
    EXPECT_EQ(whole["columns"]["values"][0], "North, winter");
    const json by_hand = answer_of({"table", one, "--rows", "tank.pickup-floor=3L", "--columns",
                                    "sensor.noise=0 %", "--show", show});
    EXPECT_EQ(whole["cells"][4][0], by_hand["cells"][0][0]) << show;
  }
}

TEST(ShopTable, TextDataAndJsonSayTheSame) {
  const TemporaryDirectory files;
  const json whole = answer_of(shop());
  const std::string text = text_of(shop());
  text_of(shop({"--output", files.file("shop.csv")}));
  const std::string csv = contents(files.file("shop.csv"));
  EXPECT_EQ(lines_of(csv), 2 + 6 * 3);
  EXPECT_THAT(csv, HasSubstr("car,pump,safe_amount_l,largest_amount_l,again_from_l,reason\n"));
  for (std::size_t car = 0; car < 6; ++car) {
    for (std::size_t pump = 0; pump < 3; ++pump) {
      const json& cell = whole["cells"][car][pump];
      const std::string name = whole["rows"]["values"][car];
      const std::string head = name + ",\"" + whole["columns"]["values"][pump].get<std::string>();
      if (cell["safe_amount"].is_null()) {
        const std::string why = cell["reason"];
        EXPECT_THAT(csv, HasSubstr(head + "\",,,," + why + "\n"));
        EXPECT_THAT(text, HasSubstr("[1] " + why));
      } else {
        std::ostringstream amount;
        amount.precision(2);
        amount << std::fixed << cell["safe_amount"].get<double>();
        EXPECT_THAT(text, HasSubstr(amount.str()));
        EXPECT_THAT(csv, HasSubstr(head + "\"," + amount.str().substr(0, 4)));
      }
    }
  }
}

TEST(ShopTable, ACellThatCannotBeAnsweredSaysWhyAndStopsNoOther) {
  const TemporaryDirectory files;
  const std::string pump = files.write("plain.ini", k_pump);
  // Of an exact content there is no correlation: wrong with one car alone.
  const std::string car = source_dir() + "/examples/fleet/cars/";
  const std::string exact =
      files.write("exact.ini",
                  "include = " + car + "van.ini\n[heel]\ncontent = 10 %\n[fuel]\ncontent = 75 %\n");
  const std::string bound = files.write(
      "bound.ini", std::string(k_pump) + "[correlation]\nfuel.content, heel.content = 0.3\n");
  const json whole =
      answer_of({"table", "--cars", exact, car + "wagon.ini", "--pumps", pump, "--pumps", bound});
  EXPECT_TRUE(whole["cells"][0][1]["safe_amount"].is_null());
  EXPECT_THAT(whole["cells"][0][1]["reason"].get<std::string>(),
              HasSubstr("bound.ini:4: correlation.heel.content, fuel.content: heel.content is "
                        "exact"));
  EXPECT_GT(whole["cells"][0][0]["safe_amount"], 10.0);
  EXPECT_GT(whole["cells"][1][1]["safe_amount"], 10.0);
  // Wrong with every car, it is the file that has to be mended.
  expect_refused({"table", "--cars", exact, "--pumps", pump, bound}, "bound.ini:4: correlation.");
}

TEST(ShopTable, PartsJoinToTheWhole) {
  const TemporaryDirectory files;
  text_of(shop({"--output", files.file("whole.csv")}));
  Args join{"table", "--join", "--output", files.file("joined.csv")};
  for (const std::string k : {"3", "1", "2", "4"}) {
    const std::string part = files.file("part-" + k + ".csv");
    text_of(shop({"--part", k + "/4", "--output", part}));
    join.push_back(part);
  }
  text_of(join);
  EXPECT_EQ(contents(files.file("joined.csv")), contents(files.file("whole.csv")));
  join.pop_back();
  expect_refused(join, "part 4 of 4 is missing");
  // The columns are the same with other cars.
  const std::string other = files.file("other.csv");
  text_of({"table", "--cars", source_dir() + "/examples/fleet/cars/van.ini", "--pumps", pumps(),
           "--part", "4/4", "--output", other});
  join.push_back(other);
  expect_refused(join, "is a part of another table");
}

TEST(ShopTable, RequireAsksForEveryCell) {
  EXPECT_EQ(run_with(shop({"--require"})).status, k_risk_not_met);
  EXPECT_EQ(run_with(shop({"--require", "--limits.minimum", "40 %"})).status, k_answered);
}

TEST(ShopTable, TheSameBytesOnAnyNumberOfThreadsAndForAnyOrderOfOptions) {
  const std::string one = text_of(shop({"--threads", "1"}));
  EXPECT_EQ(text_of(shop({"--threads", "3"})), one);
  EXPECT_EQ(text_of({"table", "--pumps", pumps(), "--cars", cars()}), one);
}

}  // namespace
}  // namespace blendrisk::cli::shop_table_test
