#include "render/table_csv.hpp"
#include "tests/answer/told.hpp"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <stdexcept>

#include "answer/words.hpp"
#include "tests/answer/results.hpp"
#include "text/error.hpp"

namespace blendrisk::answer {
namespace {

TableView two_by_two() {
  TableView view;
  view.files = {"a car.ini"};
  view.scenarios = {testing::sedan()};
  view.rows = {"heel.indicated", {"2 L", "4 L"}};
  view.columns = {"fuel.content", {"normal(70 %, 2 %)", "80 %"}};
  view.cells.resize(4);
  view.cells[1].litres = 30.5;
  view.cells[3].litres = 18.87;
  view.cells[3].other_end_l = 22.52;
  return view;
}

TEST(TableText, CsvHasALineACell) {
  EXPECT_EQ(render::table_csv(two_by_two(), {}),
            "# " + "caution.short"_w +
                "\n"
                "scenario,heel.indicated,fuel.content,safe_amount_l,largest_amount_l,again_from_l,"
                "reason\n"
                "a car.ini,2 L,\"normal(70 %, 2 %)\",,,,no amount meets the accepted risk\n"
                "a car.ini,2 L,80 %,30.5,,,\n"
                "a car.ini,4 L,\"normal(70 %, 2 %)\",,,,no amount meets the accepted risk\n"
                "a car.ini,4 L,80 %,18.87,22.52,,\n");
  TableView readings = two_by_two();
  readings.request.show = decide::Show::heel;
  const std::string csv = render::table_csv(readings, {});
  EXPECT_NE(csv.find(",highest_indicated_l,lowest_for_limits_l,reason\n"), std::string::npos);
  EXPECT_NE(csv.find("a car.ini,4 L,80 %,18.87,22.52,\n"), std::string::npos);
}

std::string part_text(std::size_t number, std::size_t count) {
  TableView view = two_by_two();
  const render::Part part{number, count};
  const render::CellRange range = render::cells_in(part, 4);
  view.cells = {view.cells.begin() + static_cast<std::ptrdiff_t>(range.from),
                view.cells.begin() + static_cast<std::ptrdiff_t>(range.to)};
  return render::table_csv(view, part);
}

TEST(TableText, PartsJoinToTheWholeInAnyOrder) {
  const std::string whole = render::table_csv(two_by_two(), {});
  for (const std::size_t count : {1U, 2U, 3U, 4U, 7U}) {
    std::vector<std::string> parts;
    for (std::size_t k = count; k >= 1; --k) parts.push_back(part_text(k, count));
    EXPECT_EQ(render::joined_csv(parts), whole) << count;
    if (count == 1) continue;
    parts.pop_back();
    EXPECT_THROW(render::joined_csv(parts), text::Error);
    parts.push_back(parts.front());
    EXPECT_THROW(render::joined_csv(parts), text::Error);
  }
  EXPECT_THROW(render::joined_csv({}), text::Error);
  EXPECT_THROW(render::joined_csv({whole}), text::Error);
  EXPECT_THROW(render::joined_csv({part_text(1, 2), part_text(2, 3)}), text::Error);
  for (const char* bad :
       {"# blendrisk table, part x of 2\nh\n", "# blendrisk table, part 3 of 2\nh\n",
        "# blendrisk table, part 0 of 2\nh\n", "# blendrisk table, part 1\nh\n",
        "# blendrisk table, part 1 of 1"}) {
    EXPECT_THROW(render::check_part(bad), text::Error) << bad;
  }
}

// What a part holds goes on to a terminal.
TEST(TableText, ControlCharactersNeitherEnterNorLeave) {
  TableView view = two_by_two();
  view.files = {"a\x1b[2J\xff.ini"};
  const std::string part = render::table_csv(view, render::Part{1, 1});
  EXPECT_NE(part.find("\na\\x1b[2J\\xff.ini,2 L,"), std::string::npos) << part;
  EXPECT_EQ(render::joined_csv({part}), render::table_csv(view, {}));
  // The caution is there again where it was cut from a part.
  std::string bare = part;
  const std::size_t caution = bare.find("# ", 1);
  bare.erase(caution, bare.find('\n', caution) + 1 - caution);
  EXPECT_EQ(render::joined_csv({bare}), render::table_csv(view, {}));
  try {
    render::check_part(part + "a\x1b[2J,1,2,3\n");
    ADD_FAILURE() << "accepted";
  } catch (const text::Error& error) {
    EXPECT_STREQ(error.what(),
                 "line 8 holds a control character (byte 0x1b); files of `table --part "
                 "k/n` are accepted");
  }
}

TEST(TableText, GridForPeople) {
  const std::string text = testing::text_of(two_by_two(), {}, UnitSystem::metric);
  EXPECT_NE(text.find("   2 L               none           30.50 L\n"), std::string::npos) << text;
  EXPECT_NE(text.find("   4 L               none  18.87 to 22.52 L\n"), std::string::npos) << text;
  EXPECT_EQ(text.find("*:"), std::string::npos);
  EXPECT_NE(text.find("none: no amount meets the accepted risk."), std::string::npos);
  EXPECT_NE(text.find("Cautions"), std::string::npos);
  const std::string us = testing::text_of(two_by_two(), {}, UnitSystem::us);
  EXPECT_NE(us.find("8.057 gal"), std::string::npos) << us;
  EXPECT_NE(us.find("0.5283 gal"), std::string::npos) << us;
  EXPECT_NE(us.find("4.985 to 5.949 gal"), std::string::npos) << us;
}

TEST(TableText, SeparateRangesAreMarked) {
  TableView view = two_by_two();
  view.cells[3].again_from_l = 30.0;
  const std::string text = testing::text_of(view, {}, UnitSystem::metric);
  EXPECT_NE(text.find("18.87 to 22.52 L *\n"), std::string::npos) << text;
  EXPECT_NE(text.find("*: there are larger amounts that are within the risk again"),
            std::string::npos);
  EXPECT_NE(render::table_csv(view, {}).find("4 L,80 %,18.87,22.52,30,\n"), std::string::npos);
}

TEST(TableText, JsonHasRowsColumnsAndCells) {
  const auto object = nlohmann::json::parse(testing::json_of(two_by_two(), {}, 0.5));
  EXPECT_EQ(object["command"], "table");
  EXPECT_EQ(object["rows"]["key"], "heel.indicated");
  EXPECT_EQ(object["columns"]["values"][1], "80 %");
  EXPECT_TRUE(object["cells"][0][0].is_null());
  EXPECT_EQ(object["cells"][0][1]["safe_amount"], 30.5);
  EXPECT_TRUE(object["cells"][0][1]["largest_amount"].is_null());
  EXPECT_EQ(object["cells"][1][1]["safe_amount"], 18.87);
  EXPECT_EQ(object["cells"][1][1]["largest_amount"], 22.52);
  EXPECT_TRUE(object["cells"][1][1]["again_from"].is_null());
  EXPECT_TRUE(object["largest_amount_reason"].is_string());
  EXPECT_TRUE(object["again_from_reason"].is_string());
  EXPECT_EQ(object["reason"], "no amount meets the accepted risk");
  TableView two = two_by_two();
  two.files.push_back("b.ini");
  two.scenarios.push_back(two.scenarios.front());
  two.cells.insert(two.cells.end(), two.cells.begin(), two.cells.begin() + 4);
  const auto both = nlohmann::json::parse(testing::json_of(two, {}, 0.5));
  EXPECT_EQ(both["cells"].size(), 2U);
  EXPECT_EQ(both["cells"][1][1][1]["safe_amount"], 18.87);
}

}  // namespace
}  // namespace blendrisk::answer
