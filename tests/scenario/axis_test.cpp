#include "scenario/axis.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "distributions/families.hpp"
#include "scenario/read.hpp"
#include "tests/scenarios.hpp"
#include "text/error.hpp"

namespace blendrisk::scenario {
namespace {

using ::testing::ElementsAre;

std::vector<std::string> values(const std::string& text) {
  return parse_axis(text, "rows").values;
}

TEST(Axis, RangeWithUnitsInAnyPlace) {
  for (const char* text : {"heel.indicated=2 L:8 L:2 L", "heel.indicated=2:8:2L",
                           "heel.indicated = 2L : 8 : 2", "heel.indicated=2:9.9:2 L"}) {
    EXPECT_EQ(parse_axis(text, "rows").key, "heel.indicated");
    EXPECT_THAT(values(text), ElementsAre("2 L", "4 L", "6 L", "8 L")) << text;
  }
}

// 0.1 has no exact double: the end is taken all the same, and the texts are short.
TEST(Axis, RangeOfTenthsIsWhole) {
  EXPECT_THAT(values("fuel.content=0.1:0.5:0.1%"),
              ElementsAre("0.1 %", "0.2 %", "0.3 %", "0.4 %", "0.5 %"));
  EXPECT_EQ(values("heel.indicated=1:10.9:0.1L").size(), 100U);
  EXPECT_THAT(values("heel.indicated=3:1:-1L"), ElementsAre("3 L", "2 L", "1 L"));
  EXPECT_THAT(values("heel.indicated=3:3:1L"), ElementsAre("3 L"));
}

TEST(Axis, ListOfAnyTextThatTheKeyAccepts) {
  EXPECT_THAT(values("fuel.content=70 %; normal(75 %, 2 %) in [60 %, 90 %] ;85 %"),
              ElementsAre("70 %", "normal(75 %, 2 %) in [60 %, 90 %]", "85 %"));
  EXPECT_THAT(values("fill.amount=30 L; click-off"), ElementsAre("30 L", "click-off"));
}

TEST(Axis, UnitsAndKeysInAnyCase) {
  EXPECT_EQ(parse_axis("Heel.Indicated=2:4:1l", "rows").key, "heel.indicated");
  EXPECT_THAT(values("heel.indicated=2 L:4 litres:1l"), ElementsAre("2 l", "3 l", "4 l"));
  EXPECT_THAT(values("heel.indicated=1/8:3/8:1/8 tank"),
              ElementsAre("0.125 tank", "0.25 tank", "0.375 tank"));
  EXPECT_THAT(values("heel.indicated=10:20:5 % of tank"),
              ElementsAre("10 % of tank", "15 % of tank", "20 % of tank"));
  EXPECT_THAT(values("heel.indicated=1/8 tank; 1/4 tank"), ElementsAre("1/8 tank", "1/4 tank"));
}

TEST(Axis, DecimalCommasAreRefusedAsSuch) {
  try {
    parse_axis("heel.indicated=2:4:0,5 L", "rows");
    FAIL() << "accepted";
  } catch (const text::Error& error) {
    EXPECT_STREQ(error.what(), "--rows: '0,5 L' has a decimal comma; write 0.5 L");
  }
}

TEST(Axis, NonsenseIsRefusedInOneLine) {
  for (const char* text :
       {"", "=", "heel.indicated", "heel.indicatd=1:2:1L", "heel.indicated=", "heel.indicated=1:2L",
        "heel.indicated=1:2:0L", "heel.indicated=1:2:-1L", "heel.indicated=1:2:nanL",
        "heel.indicated=1:inf:1L", "heel.indicated=1:1e9:1L", "heel.indicated=1 L:2 gal:1 L",
        "heel.indicated=a:b:c", "heel.indicated=1 L;;2 L", "heel.indicated=1:2:3:4"}) {
    try {
      parse_axis(text, "rows");
      ADD_FAILURE() << text;
    } catch (const text::Error& error) {
      const std::string what = error.what();
      EXPECT_TRUE(what.starts_with("--rows: ")) << what;
      EXPECT_EQ(what.find('\n'), std::string::npos);
    }
  }
}

// Along an axis a plain quantity moves the law of the file, exact(...) replaces it, and so does
// another law; as an option a plain quantity replaces it.
TEST(Axis, AQuantityMovesAnUncertainKey) {
  const auto law = [](const Override& override_of) {
    return blendrisk::testing::example("benchmark.ini", {override_of}).fills[0].content;
  };
  const auto moved = law({"fuel.content", "75 %", true});
  EXPECT_NEAR(distributions::lowest(moved), 0.46, 1e-12);  // [51, 83] by −5 points
  EXPECT_NEAR(distributions::highest(moved), 0.78, 1e-12);
  const auto whole = law({"fuel.content", "normal(80 %, 3 %) in [51 %, 83 %]", true});
  EXPECT_NEAR(distributions::quantile(moved, 0.3), distributions::quantile(whole, 0.3) - 0.05,
              1e-12);
  EXPECT_TRUE(distributions::is_exact(law({"fuel.content", "exact(75 %)", true})));
  EXPECT_TRUE(distributions::is_exact(law({"fuel.content", "75 %"})));
  EXPECT_NEAR(distributions::highest(law({"fuel.content", "uniform(60 %, 65 %)", true})), 0.65,
              1e-12);
  // Beside the file's own: it is that law which moves.
  const auto both = blendrisk::testing::example(
                        "benchmark.ini",
                        {{"fuel.content", "uniform(70 %, 72 %)"}, {"fuel.content", "80 %", true}})
                        .fills[0]
                        .content;
  EXPECT_NEAR(distributions::lowest(both), 0.79, 1e-12);
  EXPECT_NEAR(distributions::highest(both), 0.81, 1e-12);
}

TEST(Axis, EveryLawMovesByItsCentre) {
  using namespace distributions;
  const std::vector<double> some{0.1, 0.2, 0.6};
  for (const Distribution& law :
       {exact(0.3), normal(0.3, 0.1), uniform(0.2, 0.4), triangular(0.1, 0.2, 0.6),
        trapezoidal(0.1, 0.2, 0.3, 0.5), arcsine(0.1, 0.4), beta(0.0, 1.0, 2.0, 5.0),
        student(0.3, 0.1, 4.0), tests(some), empirical(some)}) {
    const Distribution there = moved(law, 0.7);
    EXPECT_NEAR(mean(there), 0.7, 1e-12);
    EXPECT_NEAR(quantile(there, 0.8) - quantile(there, 0.2),
                quantile(law, 0.8) - quantile(law, 0.2), 1e-12);
  }
}

}  // namespace
}  // namespace blendrisk::scenario
