#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>

#include "tests/cli/temporary_files.hpp"

// `guide` of every car with every pump.
namespace blendrisk::cli::shop_guides_test {
namespace {

namespace fs = std::filesystem;
using testing::contents;
using testing::expect_refused;
using ::testing::HasSubstr;
using ::testing::Not;
using testing::run_with;
using testing::source_dir;
using testing::TemporaryDirectory;
using testing::text_of;

using Args = std::vector<std::string>;

constexpr const char* k_car =
    "title = Invented van\n[tank]\ncapacity = 60 L\n[heel]\nindicated = 5 L\n"
    "gauge-error = normal(0 L, 1 L)\ncontent = 10 %\n[limits]\nminimum = 60 %\n";
constexpr const char* k_pump = "[fuel]\ntitle = North <b>\ncontent = normal(76 %, 2 %)\n";

class ShopGuides : public ::testing::Test {
 protected:
  ShopGuides() {
    ::setenv("SOURCE_DATE_EPOCH", "1767225600", 1);
    files.write("van.ini", k_car);
    files.write("north.ini", k_pump);
  }
  ~ShopGuides() override { ::unsetenv("SOURCE_DATE_EPOCH"); }

  Args guide(const Args& more = {}) const {
    Args args{"guide",    "--cars",   files.file("van.ini"), "--pumps", files.file("north.ini"),
              "--static", "--output", files.file("guides")};
    args.insert(args.end(), more.begin(), more.end());
    return args;
  }
  /// Names of what is in the directory of the guides.
  std::vector<std::string> made() const {
    std::vector<std::string> names;
    for (const auto& one : fs::directory_iterator(files.file("guides"))) {
      names.push_back(one.path().filename());
    }
    std::ranges::sort(names);
    return names;
  }
  /// Nothing but what was written for the test.
  void expect_nothing_left() const {
    for (const auto& one : fs::directory_iterator(files.file(""))) {
      EXPECT_THAT(one.path().filename().string(), Not(HasSubstr("guides")));
    }
  }
  TemporaryDirectory files;
};

TEST_F(ShopGuides, OnePageForEachCarWithEachPumpAndAnIndexThatLeadsToThem) {
  files.write("wagon.ini", "include = van.ini\ntitle = Invented wagon\n");
  EXPECT_THAT(text_of(guide({"--cars", files.file("wagon.ini")})),
              HasSubstr("2 guides and their index"));
  EXPECT_THAT(made(), ::testing::ElementsAre("index.html", "van-north.html", "wagon-north.html"));
  const std::string index = contents(files.file("guides/index.html"));
  EXPECT_THAT(index, HasSubstr("<h2 id=\"car-2\">Invented wagon</h2>"));
  EXPECT_THAT(index, HasSubstr("<a href=\"van-north.html\">North &lt;b&gt;</a>"));
  EXPECT_THAT(contents(files.file("guides/wagon-north.html")),
              HasSubstr("<h1>Invented wagon: North &lt;b&gt;</h1>"));
}

// The scenario that a page holds, asked again, makes the page again.
TEST_F(ShopGuides, APageIsThatOfTheScenarioItHolds) {
  files.write("shop.ini", "[limits]\naccepted-risk = 2 %  # of the shop\n");
  files.write("van.ini", std::string("include = shop.ini\n") + k_car);
  text_of(guide());
  const std::string page = contents(files.file("guides/van-north.html"));
  const std::size_t from = page.find("<pre>title = ");
  ASSERT_NE(from, std::string::npos);
  std::string text = page.substr(from + 5, page.find("</pre>", from) - from - 5);
  for (const auto& [entity, sign] : {std::pair{"&lt;", "<"}, std::pair{"&gt;", ">"}}) {
    for (std::size_t at = text.find(entity); at != std::string::npos; at = text.find(entity)) {
      text.replace(at, 4, sign);
    }
  }
  EXPECT_THAT(text, HasSubstr("accepted-risk = 2 %  # of the shop\n"));
  text_of({"guide", files.write("van-north.ini", text), "--static", "--output",
           files.file("one.html")});
  EXPECT_EQ(contents(files.file("one.html")), page);
}

TEST_F(ShopGuides, TheIndexSaysWhatTheGuidesSay) {
  text_of(guide());
  const std::string scenario = files.write("one.ini", "include = van.ini\ninclude = north.ini\n");
  const auto fill = testing::answer_of({"fill", scenario});
  const auto heel = testing::answer_of({"heel", scenario});
  const auto written = [](double litres, int decimals) {
    std::ostringstream text;
    text.precision(decimals);
    text << std::fixed << litres << " L";
    return "<td>" + text.str() + "</td>";
  };
  const std::string index = contents(files.file("guides/index.html"));
  EXPECT_THAT(index, HasSubstr(written(fill["safe_amount"], 2)));
  EXPECT_THAT(index, HasSubstr(written(heel["highest_indicated"], 1)));
}

TEST_F(ShopGuides, AGuideThatCannotBeMadeIsToldInItsPlace) {
  files.write("exact.ini",
              std::string("include = van.ini\ntitle = Exact\n[heel]\nindicated = 6 L\n"));
  files.write("van.ini", std::string(k_car) + "[heel]\nnow = 9 L\n");
  expect_refused(guide(), "heel.now");  // of the only car: the file is wrong
  files.write("van.ini", k_car);
  const std::string pump = files.write(
      "bound.ini", std::string(k_pump) + "[correlation]\nfuel.content, heel.gauge-error = 0.3\n");
  files.write("sure.ini", "include = van.ini\ntitle = Sure\n[heel]\ngauge-error = 0 L\n");
  const std::string said = text_of(guide({"--cars", files.file("sure.ini"), "--pumps", pump}));
  EXPECT_THAT(said, HasSubstr("3 guides and their index"));
  EXPECT_THAT(said, HasSubstr("1 could not be made"));
  EXPECT_EQ(made().size(), 4U);
  EXPECT_THAT(contents(files.file("guides/index.html")), HasSubstr("heel.gauge-error is exact"));
}

TEST_F(ShopGuides, PagesAndTheirIndexAreInTheLanguageAskedFor) {
  files.write("empty.ini", std::string(k_car) + "[fill]\namount = 0 L\n");
  EXPECT_THAT(text_of(guide({"--cars", files.file("empty.ini"), "--heel.indicated", "0 L",
                             "--heel.gauge-error", "0 L", "--language", "german"})),
              HasSubstr("1 guides and their index"));
  const std::string index = contents(files.file("guides/index.html"));
  EXPECT_THAT(index, HasSubstr("<html lang=\"de\">"));
  EXPECT_THAT(index, HasSubstr("<h1>2 Fahrzeuge mit 1 Zapfsäule</h1>"));
  EXPECT_THAT(index, HasSubstr("Zapfsäule: ihre Anleitung"));
  // Why one cannot be made is the line that would refuse it, in English and marked so.
  EXPECT_THAT(index, HasSubstr("<td>keine: <span lang=\"en\">fill.amount: the tank may hold"));
  EXPECT_THAT(contents(files.file("guides/van-north.html")), HasSubstr("Was zu tun ist"));
}

TEST_F(ShopGuides, FilesOfOneNameHavePagesOfTheirOwn) {
  fs::create_directory(files.file("other"));
  files.write("other/van.ini", k_car);
  text_of(guide({"--cars", files.file("other/van.ini")}));
  EXPECT_THAT(made(), ::testing::ElementsAre("index.html", "van-north-2.html", "van-north.html"));
}

TEST_F(ShopGuides, WhatIsRefusedLeavesNothing) {
  expect_refused(guide({"--heel.indicated", "6"}), "--heel.indicated: ");
  expect_nothing_left();
  files.write("north.ini", "[fuel]\ncontent = 176 %\n");
  expect_refused(guide(), "north.ini:2: fuel.content: ");
  expect_nothing_left();
  files.write("north.ini", k_pump);
  files.write("guides", "a file");
  expect_refused(guide(), "guides: is a file; a new directory, or an empty one, is accepted");
  fs::remove(files.file("guides"));
  fs::create_directory(files.file("guides"));
  text_of(guide());  // an empty one
  expect_refused(guide(), "guides: is not empty; a new directory");
  EXPECT_EQ(made().size(), 2U);
}

TEST_F(ShopGuides, OnePageIsNamedAndManyAreADirectory) {
  expect_refused({"guide", files.file("van.ini"), "--output", files.file("guides")},
                 "a name ending in .html");
  expect_refused({"guide", files.file("van.ini")}, "--output is needed, a name ending in .html");
  expect_refused({"guide", "--cars", files.file("van.ini"), "--pumps", files.file("north.ini")},
                 "--output is needed, a directory");
  expect_refused({"guide", "--cars", files.file("van.ini"), "--pumps", files.file("north.ini"),
                  "--output", files.file("a.html")},
                 "is the name of one page");
  const testing::Run run =
      run_with({"guide", "--cars", files.file("van.ini"), "--pumps", files.file("north.ini"),
                "--output", files.file("no/such/guides")});
  EXPECT_EQ(run.status, k_could_not_finish);
  EXPECT_THAT(run.err, HasSubstr("cannot be made"));
}

}  // namespace
}  // namespace blendrisk::cli::shop_guides_test
