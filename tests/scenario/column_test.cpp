#include "scenario/column.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <string>

#include "text/csv.hpp"
#include "text/error.hpp"

namespace blendrisk::scenario {
namespace {

using units::Dimension;

const std::vector<Wanted> k_log{{"time_s", Dimension::time},
                                {"reading_percent", Dimension::content},
                                {"fuel_rate_l_per_h", Dimension::rate, false}};

std::string refusal(const std::string& text, const std::vector<Wanted>& wanted = k_log) {
  try {
    read_columns("log.csv", text, wanted, {});
  } catch (const text::Error& error) {
    return error.what();
  }
  return "accepted";
}

TEST(ReadColumns, GiveEachWantedColumnWithItsLines) {
  const Columns read = read_columns(
      "log.csv", "reading_percent,note,time_s\n10,\"a, b\",0\n\n12.5,,1 min\r\n", k_log, {"note"});
  EXPECT_EQ(read.names, (std::vector<std::string>{"reading_percent", "note", "time_s"}));
  EXPECT_EQ(read.lines, (std::vector<std::size_t>{2, 4}));
  EXPECT_EQ(read.values[0], (std::vector<double>{0.0, 60.0}));
  EXPECT_EQ(read.values[1], (std::vector<double>{0.1, 0.125}));
  EXPECT_TRUE(read.values[2].empty());
  EXPECT_EQ(read.texts[0], (std::vector<std::string>{"a, b", ""}));
}

TEST(ReadColumns, SemicolonsPartCellsWhereTheHeaderHasThem) {
  const Columns read = read_columns(
      "log.csv",
      "time_s;\"note, if any\";reading_percent\n0:30;a, b;10\n1:02:03;\"c; d\";11.5 %;\n", k_log,
      {"note, if any"});
  EXPECT_EQ(read.values[0], (std::vector<double>{30.0, 3723.0}));
  EXPECT_EQ(read.values[1], (std::vector<double>{0.1, 0.115}));
  EXPECT_EQ(read.texts[0], (std::vector<std::string>{"a, b", "c; d"}));
  EXPECT_EQ(text::separator_of("a;b,c"), ';');
  EXPECT_EQ(text::separator_of("a,b;c"), ',');
  EXPECT_EQ(text::separator_of("\"a;b\",c"), ',');
  EXPECT_EQ(text::separator_of("a"), ',');
}

// A comma between digits would make two cells of one, and 0.5 would be read as 0.
TEST(ReadColumns, DecimalCommasAreRefusedAsSuch) {
  EXPECT_EQ(refusal("time_s;reading_percent\n0,5;1\n"),
            "log.csv:2: \"0,5\" has a decimal comma; write 0.5");
  EXPECT_EQ(refusal("time_s,reading_percent\n\"0,5\",1\n"),
            "log.csv:2: \"0,5\" has a decimal comma; write 0.5");
  EXPECT_EQ(
      refusal("time_s,reading_percent\n0,5,61,2\n"),
      "log.csv:2: has 4 cells under 2 names; a cell a name is accepted, with decimal points (a "
      "decimal comma parts a cell in two)");
  EXPECT_EQ(refusal("time_s,reading_percent\n0,5,,\n"), "accepted");
}

TEST(ReadColumns, NameFileAndLineOfWhatIsWrong) {
  EXPECT_EQ(refusal("time_s,content\n0,1\n"),
            "log.csv:1: no column 'reading_percent'; the columns are 'time_s, content'");
  EXPECT_EQ(refusal("time_s,reading_percent\n0,1\n1\n").find("log.csv:3: has no "), 0U);
  EXPECT_EQ(refusal("time_s,reading_percent\n0,1\n1,x\n").find("log.csv:3: \"x\""), 0U);
  EXPECT_EQ(refusal("time_s,reading_percent\n0,1\n2 L,3\n").find("log.csv:3: \"2 L\""), 0U);
  EXPECT_EQ(refusal("time_s,reading_percent\n0,nan\n").find("log.csv:2: \"nan %\""), 0U);
  EXPECT_EQ(refusal("time_s,reading_percent,fuel_rate_l_per_h\n0,1,\n").find("log.csv:2: has no"),
            0U);
  EXPECT_EQ(refusal("time_s,reading_percent,time_s\n0,1,2\n").find("log.csv:1: two columns"), 0U);
  EXPECT_EQ(refusal("time_s,reading_percent\n").find("log.csv: has no values"), 0U);
}

TEST(ReadColumns, CommentsAreRefusedAsWhatTheyAre) {
  const std::string rest =
      " is a comment; a line of column names and lines of values alone are accepted";
  EXPECT_EQ(refusal("# our logger, 3 May\ntime_s,reading_percent\n0,1\n"),
            "log.csv:1: the line '# our logger, 3 May'" + rest);
  EXPECT_EQ(refusal("time_s,reading_percent\n0,1\n  # stopped here\n2,3\n"),
            "log.csv:3: the line '  # stopped here'" + rest);
  // A column may be called so.
  EXPECT_EQ(refusal("#,time_s,reading_percent\n#1,0,1\n"), "accepted");
}

TEST(ReadColumns, ControlCharactersOfBothKindsAreRefused) {
  EXPECT_EQ(refusal("time_s,reading_percent\n0,1\x1b[2J\n")
                .find("log.csv:2: the line '0,1\\x1b[2J' holds a control character (byte 0x1b)"),
            0U);
  EXPECT_EQ(refusal("time_s,reading_percent\n0,\xc2\x9b"
                    "2J\n")
                .find("log.csv:2: the line '0,\\xc2\\x9b2J' holds a control character (bytes 0xc2 "
                      "0x9b)"),
            0U);
}

TEST(ReadColumns, BareNumbersHaveTheBitsOfTheSameNumbersWithTheirUnit) {
  const std::vector<std::pair<std::string, std::pair<std::string, Dimension>>> endings{
      {"a_percent", {" %", Dimension::content}}, {"a_percent", {" %", Dimension::fraction}},
      {"a_l", {" L", Dimension::volume}},        {"a_ml", {" mL", Dimension::volume}},
      {"a_gal", {" gal", Dimension::volume}},    {"a_l_per_h", {" L/h", Dimension::rate}},
      {"a_s", {" s", Dimension::time}},          {"a_min", {" min", Dimension::time}}};
  std::mt19937_64 draw(1);
  std::uniform_real_distribution<double> exponent(-8.0, 8.0);
  for (const auto& [column, unit] : endings) {
    for (int i = 0; i < 300; ++i) {
      std::string number = std::to_string(std::pow(10.0, exponent(draw)));
      if (i % 3 == 0) number = "-" + number;
      const double bare = read_column("x", column + "\n" + number, column, unit.second).front();
      EXPECT_EQ(bare, units::parse_quantity(number + unit.first, unit.second)) << number << column;
    }
  }
}

// Where each row cost a look at all before it, this would take hours.
TEST(ReadColumns, AMillionRowsAreReadEachOnce) {
  std::string text = "time_s,reading_percent,fuel_rate_l_per_h\n";
  for (int i = 0; i < 1'000'000; ++i) text += std::to_string(i) + ".25,43.125,0.875\n";
  const Columns read = read_columns("log.csv", text, k_log, {});
  ASSERT_EQ(read.lines.size(), 1'000'000U);
  EXPECT_EQ(read.values[0].back(), 999'999.25);
  EXPECT_EQ(read.lines.back(), 1'000'001U);
}

}  // namespace
}  // namespace blendrisk::scenario
