#include "cli/shop_grid.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "cli/command.hpp"
#include "distributions/distribution.hpp"
#include "tests/cli/temporary_files.hpp"

namespace blendrisk::cli::shop_grid_test {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

constexpr const char* k_car =
    "title = Invented van\n[tank]\ncapacity = 60 L\n[heel]\nindicated = 5 L\ncontent = 10 %\n"
    "[limits]\nminimum = 60 %\n";
constexpr const char* k_pump = "[fuel]\ncontent = 75 %\n";

/// Takes the options and does nothing.
const Command k_command{.name = "shop",
                        .question = "",
                        .about = "",
                        .options = "cars pumps",
                        .answer = [](const Call&) { return Answer{}; }};

class ShopGridTest : public ::testing::Test {
 protected:
  ShopGridTest() {
    for (const char* folder : {"cars", "pumps"})
      std::filesystem::create_directory(files.file(folder));
  }
  ShopGrid grid(const std::vector<std::string>& more = {}) const {
    std::vector<std::string> args{"--cars", files.file("cars/*.ini"), "--pumps",
                                  files.file("pumps/*.ini")};
    args.insert(args.end(), more.begin(), more.end());
    return ShopGrid(parse_arguments(k_command, args));
  }
  std::string refused(const std::vector<std::string>& args) const {
    try {
      ShopGrid(parse_arguments(k_command, args));
    } catch (const Error& error) {
      return error.what();
    }
    return "accepted";
  }
  testing::TemporaryDirectory files;
};

std::vector<std::string> titles(const std::vector<ShopFile>& all) {
  std::vector<std::string> list;
  for (const ShopFile& one : all) list.push_back(one.title);
  return list;
}

TEST_F(ShopGridTest, PatternsAreWrittenOutSortedAndTitled) {
  files.write("cars/b.ini", k_car);
  files.write("cars/a.ini", std::string("include = b.ini\ntitle = Invented wagon\n"));
  files.write("cars/c.ini", std::string("include = b.ini\n"));
  files.write("cars/d.txt", "no scenario");
  files.write("pumps/south.ini", k_pump);
  files.write("pumps/north.ini", std::string("title = not the car's\n") + k_pump);
  files.write("pumps/east.ini", std::string(k_pump) + "title = East\n");
  const ShopGrid shop = grid();
  EXPECT_THAT(titles(shop.cars()),
              ElementsAre("Invented wagon", "Invented van (b.ini)", "Invented van (c.ini)"));
  EXPECT_THAT(titles(shop.pumps()), ElementsAre("East", "not the car's", "south.ini"));
  EXPECT_EQ(shop.shape().cells(), 9U);
  EXPECT_EQ(shop.scenario_of(0, 1, {}).title, "Invented wagon");
}

TEST_F(ShopGridTest, APumpsKeysWinOverTheCarsAndOptionsOverBoth) {
  files.write("cars/a.ini", std::string(k_car) + "[fuel]\ncontent = 50 %\nprice = 1 /L\n");
  files.write("pumps/a.ini", k_pump);
  const ShopGrid shop = grid();
  const auto content = [](const scenario::Scenario& scenario) {
    return distributions::mean(scenario.fills.front().content);
  };
  EXPECT_DOUBLE_EQ(content(shop.scenario_of(0, 0, {})), 0.75);
  EXPECT_DOUBLE_EQ(*shop.scenario_of(0, 0, {}).fills.front().price_per_l, 1.0);
  EXPECT_DOUBLE_EQ(content(shop.scenario_of(0, 0, {{"fuel.content", "80 %"}})), 0.8);
}

TEST_F(ShopGridTest, MeasuredFilesAreFoundBesideThePumpThatNamesThem) {
  files.write("cars/a.ini", k_car);
  files.write("pumps/tests.csv", "content_percent\n70\n80\n");
  files.write("pumps/a.ini", "[fuel]\ncontent = measured(\"tests.csv\", \"content_percent\")\n");
  std::map<std::string, std::string> data;
  const scenario::Scenario found = grid().scenario_of(0, 0, {}, &data);
  EXPECT_DOUBLE_EQ(distributions::mean(found.fills.front().content), 0.75);
  EXPECT_THAT(data, ElementsAre(std::pair<const std::string, std::string>(
                        files.file("pumps/tests.csv"), "content_percent\n70\n80\n")));
}

TEST_F(ShopGridTest, ErrorsNameTheFileOfTheCarOrOfThePump) {
  files.write("cars/a.ini", k_car);
  const std::string pump = files.write("pumps/a.ini", "[fuel]\ncontent = 120 %\n");
  try {
    grid().scenario_of(0, 0, {});
    FAIL() << "accepted";
  } catch (const Error& error) {
    EXPECT_THAT(error.what(), HasSubstr(pump + ":2: fuel.content: "));
  }
  files.write("pumps/a.ini", "[fuel]\nmeter-error = 1 %\n");
  try {
    grid().scenario_of(0, 0, {});
    FAIL() << "accepted";
  } catch (const Error& error) {
    EXPECT_THAT(error.what(), HasSubstr("cars/a.ini with "));
    EXPECT_THAT(error.what(), HasSubstr("fuel.content: is required"));
  }
}

TEST_F(ShopGridTest, SeveralFilesStandBehindOneOptionOrRepeatIt) {
  const std::string a = files.write("cars/a.ini", k_car);
  const std::string b = files.write("cars/b.ini", k_car);
  const std::string c = files.write("cars/c[1].ini", k_car);
  const std::string pump = files.write("pumps/a.ini", k_pump);
  const ShopGrid shop(parse_arguments(k_command, {"--cars", c, a, "--pumps", pump, "--cars", b}));
  ASSERT_EQ(shop.cars().size(), 3U);
  EXPECT_EQ(shop.cars()[0].path, c);
  EXPECT_EQ(shop.cars()[2].path, b);
}

TEST_F(ShopGridTest, WhatIsNoShopIsRefusedInALine) {
  const std::string car = files.write("cars/a.ini", k_car);
  const std::string pump = files.write("pumps/a.ini", k_pump);
  EXPECT_THAT(refused({"--cars", car}), HasSubstr("--cars: goes with --pumps"));
  EXPECT_THAT(refused({"--pumps", car}), HasSubstr("--pumps: goes with --cars"));
  EXPECT_THAT(refused({car, "--cars", car, "--pumps", pump}), HasSubstr("is given beside --cars"));
  EXPECT_THAT(refused({"--cars", car, car, "--pumps", pump}), HasSubstr("is given twice"));
  EXPECT_THAT(refused({"--cars", "", "--pumps", pump}), HasSubstr("--cars: "));
  EXPECT_THAT(refused({"--cars", "no/*.ini", "--pumps", pump}),
              HasSubstr("--cars: 'no/*.ini' finds no file; scenario files such as"));
  EXPECT_THAT(refused({"--cars", "no.ini", "--pumps", pump}),
              HasSubstr("no.ini: cannot be opened (no such file or directory); a scenario file"));
  EXPECT_THAT(refused({"--cars", files.file("cars"), "--pumps", pump}),
              HasSubstr("cars: is a directory; a scenario file is accepted"));
  files.write("pumps/bad.ini", "[fuel]\ncontnt = 1 %\n");
  EXPECT_THAT(refused({"--cars", car, "--pumps", files.file("pumps/bad.ini")}),
              HasSubstr("bad.ini:2: fuel.contnt: unknown key"));
}

}  // namespace
}  // namespace blendrisk::cli::shop_grid_test
