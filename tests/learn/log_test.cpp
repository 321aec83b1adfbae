#include "learn/log.hpp"

#include <gtest/gtest.h>

#include "text/error.hpp"

namespace blendrisk::learn {
namespace {

using scenario::StoppedBy;

constexpr const char* k_log =
    "date,car,pump,note,indicated_l,shown_gal,stopped_by,pump_test_percent,reading_before,"
    "landed_test_percent,limits.minimum\n"
    "2031-01-04,sedan,north,\"cold, wet\",6.5,12,Click-Off,77.5,9.5 %,68,62 %\n"
    "\n"
    "2031-01-03 10:30,van,south,,5 gal,,,,,,\n"
    "2031-01-04T08:00,sedan,south,,7,11.5,hand,,,71\n";

std::string refusal_of_log(const std::string& text, const LogChoice& choice = {}) {
  try {
    read_shop_log("log.csv", text, choice);
  } catch (const text::Error& error) {
    return error.what();
  }
  return "not refused";
}

TEST(ShopLog, RowsAreWhatTheColumnsSay) {
  const ShopLog log = read_shop_log("log.csv", k_log);
  ASSERT_EQ(log.rows(), 3U);
  EXPECT_EQ(log.lines, (std::vector<std::size_t>{2, 4, 5}));
  EXPECT_EQ(log.unused, (std::vector<std::string>{"note"}));
  const LogRow first = log.row(0);
  EXPECT_EQ(first.day, 22283);  // 2031-01-04, by `date -d 2031-01-04 +%s`
  EXPECT_EQ(first.car, "sedan");
  EXPECT_EQ(first.indicated_l, 6.5);
  EXPECT_EQ(first.shown_l, 12 * 3.785411784);
  EXPECT_EQ(first.stopped_by, StoppedBy::click_off);
  EXPECT_EQ(first.pump_test, 0.775);
  EXPECT_EQ(first.reading_before, 0.095);
  EXPECT_FALSE(first.reading);
  EXPECT_FALSE(log.has(LogColumn::reading));
  EXPECT_EQ(first.landed_test, 0.68);
  const LogRow second = log.row(1);
  EXPECT_EQ(second.indicated_l, 5 * 3.785411784);
  EXPECT_FALSE(second.shown_l || second.stopped_by || second.landed_test);
  EXPECT_EQ(log.row(2).stopped_by, StoppedBy::hand);
  ASSERT_EQ(log.overrides_of(0).size(), 1U);
  EXPECT_EQ(log.overrides_of(0)[0].key, "limits.minimum");
  EXPECT_EQ(log.overrides_of(0)[0].value, "62 %");
  EXPECT_TRUE(log.overrides_of(2).empty());
  EXPECT_EQ(log.by_day(), (std::vector<std::size_t>{1, 0, 2}));
}

TEST(ShopLog, TakesTheRowsThatAreAskedFor) {
  const ShopLog log = read_shop_log("log.csv", k_log, {{{"car", "sedan"}, {"Note", ""}}, "pump"});
  ASSERT_EQ(log.rows(), 1U);
  EXPECT_EQ(log.rows_of_file, 3U);
  EXPECT_EQ(log.row(0).line, 5U);
  EXPECT_EQ(log.row(0).group, "south");
  EXPECT_EQ(log.car.names, (std::vector<std::string>{"sedan"}));
  // What is not chosen is not looked at.
  EXPECT_EQ(read_shop_log("a.csv", "car,shown_l\nvan,x\nsedan,3\n", {{{"car", "sedan"}}}).rows(),
            1U);
}

TEST(ShopLog, TestsOfAPumpAloneAreOne) {
  const ShopLog log = read_shop_log("tests.csv", "\xEF\xBB\xBFPump;content_percent\r\nn;77\r\n");
  EXPECT_EQ(log.row(0).pump, "n");
  EXPECT_EQ(log.row(0).pump_test, 0.77);
}

TEST(ShopLog, ColumnsThatAQuestionNeedsHaveToBeThere) {
  const ShopLog log = read_shop_log("log.csv", k_log);
  require_any(log, {LogColumn::landed_test});
  require_any(log, {LogColumn::heel, LogColumn::shown});
  const auto asked = [&](const ShopLog& of) -> std::string {
    try {
      require_any(of, {LogColumn::reading, LogColumn::heel});
    } catch (const text::Error& error) {
      return error.what();
    }
    return "there";
  };
  EXPECT_EQ(asked(log),
            "log.csv:1: no column reading_percent or heel_l; the columns are 'date, car, pump, "
            "note, indicated_l, shown_gal, stopped_by, pump_test_percent, reading_before, "
            "landed_test_percent, limits.minimum'");
  EXPECT_EQ(asked(read_shop_log("log.csv", "heel_l,car\n,van\n")),
            "log.csv: reading_percent or heel_l: no row has a value; a log with some is accepted");
}

struct Bad {
  std::string text;
  std::string message;  ///< how it begins
  LogChoice choice = {};
};

TEST(ShopLog, BadLogsAreRefusedInOneLineThatSaysWhere) {
  const std::string nul("car,shown_l\nvan,4\0\n", 19);
  const std::vector<Bad> all{
      {"", "log.csv: has no rows; a line of column names and at least one row"},
      {"\n \n\t\n", "log.csv: has no rows"},
      {"\xEF\xBB\xBF", "log.csv: has no rows"},
      {"car,shown_l\n", "log.csv: has no rows"},
      {"car,shown_l\n\n\n", "log.csv: has no rows"},
      {nul, "log.csv:2: the line 'van,4\\x00' holds a control character"},
      {std::string("\0", 1), "log.csv:1: the line '\\x00' holds a control character"},
      {"car,shown_l\nvan,\x1b[2J\n", "log.csv:2: the line 'van,\\x1b[2J' holds a control"},
      {"car,shown_l\nv\xff,3\n", "log.csv:2: the line 'v\\xff,3' is not UTF-8"},
      {"car\n" + std::string(20'000, 'v') + "\n", "log.csv:2: the line 'vvv"},
      {"car,shown_l\n# a note\nvan,3\n", "log.csv:2: the line '# a note' is a comment"},
      {"car\nvan\n # a note\n", "log.csv:3: the line ' # a note' is a comment"},
      {"# a log\ncar\nvan,4\n", "log.csv:3: has 2 cells under 1 names"},
      {"car,shown_l\nvan,6,5\n", "log.csv:2: has 3 cells under 2 names"},
      {"car;shown_l\nvan;6,5\n", "log.csv:2: shown_l: \"6,5\" has a decimal comma; write 6.5"},
      {"car;shown_l\nvan;1,000\n", "log.csv:2: shown_l: \"1,000\" has a comma"},
      {"shown_l\nx\n", "log.csv:2: shown_l: \"x\" does not begin with a number; a volume"},
      {"shown_l\n5 %\n", "log.csv:2: shown_l: "},
      {"shown_l\n5 km\n", "log.csv:2: shown_l: "},
      {"shown\n5\n", "log.csv:2: shown: "},
      {"shown_l\nnan\n", "log.csv:2: shown_l: "},
      {"shown_l\ninf\n", "log.csv:2: shown_l: "},
      {"shown_l\n1e400\n", "log.csv:2: shown_l: "},
      {"shown_l\n-3\n", "log.csv:2: shown_l: '-3' is out of range; 0 L to 1000000 L"},
      {"shown_l\n2e6\n", "log.csv:2: shown_l: '2e6' is out of range"},
      {"indicated_l\n-0.5\n", "log.csv:2: indicated_l: '-0.5' is out of range; 0 L to"},
      {"heel_gal\n-1\n", "log.csv:2: heel_gal: '-1' is out of range"},
      {"distance_left_km\n-1\n", "log.csv:2: distance_left_km: '-1' is out of range; 0 km to"},
      {"distance_left_l\n1\n",
       "log.csv:1: distance_left_l: ends in no unit of a distance; "
       "distance_left_km is accepted"},
      {"shown_percent\n1\n", "log.csv:1: shown_percent: ends in no unit of a volume; shown_l is"},
      {"landed_test_l\n1\n",
       "log.csv:1: landed_test_l: ends in no unit of a content; landed_test_percent is accepted"},
      {"pump_test_percent\n101\n", "log.csv:2: pump_test_percent: '101' is out of range; 0 % to"},
      {"pump_test_percent\nE85\n", "log.csv:2: pump_test_percent: "},
      {"pump_test\n0.75\n", "log.csv:2: pump_test: "},
      {"landed_test_percent\n-1\n", "log.csv:2: landed_test_percent: '-1' is out of range"},
      {"landed_test_percent\n70\n71\n7 0\n", "log.csv:4: landed_test_percent: "},
      {"reading_percent\n121\n", "log.csv:2: reading_percent: '121' is out of range; -20 % to"},
      {"reading_before_percent\n-21\n", "log.csv:2: reading_before_percent: '-21' is out of"},
      {"content_percent\n5 L\n", "log.csv:2: content_percent: "},
      {"date,car\n2031-01-04,van\n04.01.2031,van\n",
       "log.csv:3: date: '04.01.2031' is no date; year-month-day as in 2026-11-27"},
      {"date\n1/4/2031\n", "log.csv:2: date: '1/4/2031' is no date"},
      {"date\n2031-02-29\n", "log.csv:2: date: '2031-02-29' is no date"},
      {"date\n20310104\n", "log.csv:2: date: '20310104' is no date"},
      {"date\n2031-01-04 25:00\n", "log.csv:2: date: '2031-01-04 25:00' is no date"},
      {"date\n2031-1-4\n", "log.csv:2: date: '2031-1-4' is no date"},
      {"date\n45000\n", "log.csv:2: date: '45000' is no date"},
      {"stopped_by\nnozzle\n", "log.csv:2: stopped_by: 'nozzle' is neither end of a fill; click"},
      {"car,stopped_by\nvan,click off\n", "log.csv:2: stopped_by: 'click off' is neither"},
      {"shown_l,shown_gal\n3,1\n", "log.csv:1: shown_l: two columns tell this; one is accepted"},
      {"pump_test_percent,content_percent\n3,1\n", "log.csv:1: pump_test_percent: two columns"},
      {"car,Car\nvan,van\n", "log.csv:1: car: two columns tell this"},
      {"date,date\n2031-01-04,2031-01-04\n", "log.csv:1: date: two columns tell this"},
      {"limits.minimum,Limits.Minimum\n60 %,60 %\n", "log.csv:1: limits.minimum: two columns"},
      {"limits.minimun\n60 %\n",
       "log.csv:1: limits.minimun: is no key of a scenario (the nearest "
       "known name is limits.minimum); `blendrisk help keys`"},
      {"weather.cold\nyes\n", "log.csv:1: weather.cold: is no key of a scenario; `blendrisk"},
      {"stoped_by,car\nhand,van\n", "log.csv:1: stoped_by: is no known column; stopped_by is, or"},
      {"landed_test_precent\n70\n", "log.csv:1: landed_test_precent: is no known column; landed"},
      {"cars\nvan\n", "log.csv:1: cars: is no known column; car is, or a name that is not nearly"},
      {"car,shown_l\nvan,4\nsedan,5\n",
       "log.csv: car: no row has 'wagon'; it has 'van, sedan'",
       {{{"car", "wagon"}}}},
      {"car,pump\nvan,n\nsedan,s\n",
       "log.csv: no row has all that --where asks for",
       {{{"car", "van"}, {"pump", "s"}}}},
      {"car\nvan\n",
       "log.csv:1: no column 'bay' for --where; the columns are 'car'",
       {{{"bay", "2"}}}},
      {"car\nvan\n", "log.csv:1: no column 'bay' for --group; the columns are 'car'", {{}, "bay"}},
      {"note,note\na,b\n", "log.csv:1: note: two columns tell this", {{}, "note"}},
  };
  EXPECT_GE(all.size(), 60U);
  for (const Bad& bad : all) {
    const std::string message = refusal_of_log(bad.text, bad.choice);
    EXPECT_TRUE(message.starts_with(bad.message)) << bad.text << "\n" << message;
    EXPECT_EQ(message.find('\n'), std::string::npos);
  }
}

TEST(ShopLog, AMillionRowsAreReadAndOneBadOneIsFound) {
  std::string text = "date,car,indicated_l,shown_l,landed_test_percent\n";
  for (int i = 0; i < 1'000'000; ++i) text += "2031-01-04,van,6.5,48.25,67.5\n";
  EXPECT_EQ(read_shop_log("log.csv", text).rows(), 1'000'000U);
  text += "2031-01-04,van,6.5,48.25,167.5\n";
  EXPECT_TRUE(
      refusal_of_log(text).starts_with("log.csv:1000002: landed_test_percent: '167.5' is out"));
}

}  // namespace
}  // namespace blendrisk::learn
