#include "distributions/distribution_text.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "distributions/families.hpp"
#include "text/error.hpp"

namespace blendrisk::distributions {
namespace {

using units::Dimension;

std::vector<double> no_file(const std::string& path, const std::string&) {
  throw text::Error("no file " + path);
}

Distribution parse(std::string_view text, Dimension dimension = Dimension::content) {
  return parse_distribution(text, dimension, no_file);
}

/// The same law: the same chances on either side of many values, to the last digit.
void expect_same(const Distribution& law, const Distribution& wanted) {
  for (double p = 0.01; p < 1.0; p += 0.07) {
    const double x = quantile(wanted, p);
    EXPECT_EQ(quantile(law, p), x) << p;
    EXPECT_EQ(cdf(law, x), cdf(wanted, x)) << p;
    EXPECT_EQ(complement(law, x), complement(wanted, x)) << p;
  }
}

TEST(DistributionText, PlainQuantityIsExact) {
  for (const auto& [text, value] : {std::pair("85 %", 0.85), std::pair(" exact( 78 % ) ", 0.78)}) {
    EXPECT_TRUE(is_exact(parse(text)));
    EXPECT_EQ(mean(parse(text)), value);
  }
  EXPECT_EQ(mean(parse("4 min", Dimension::time)), 240.0);
}

TEST(DistributionText, EveryLawIsReadInInnerUnits) {
  expect_same(parse("normal(78 %, 3 %)"), normal(0.78, 0.03));
  expect_same(parse("uniform(500 mL, 1 L)", Dimension::volume), uniform(0.5, 1.0));
  expect_same(parse("triangular(70%,75%,80%)"), triangular(0.7, 0.75, 0.8));
  expect_same(parse("trapezoidal(70 %, 72 %, 78 %, 80 %)"), trapezoidal(0.7, 0.72, 0.78, 0.8));
  expect_same(parse("arcsine(70 %, 80 %)"), arcsine(0.7, 0.8));
  expect_same(parse("beta(51 %, 83 %, 2, 3.5)"), beta(0.51, 0.83, 2.0, 3.5));
  expect_same(parse("student(78 %, 1 %, 4)"), student(0.78, 0.01, 4.0));
  expect_same(parse("quantiles(5 %: 70 %, 1 in 2: 74 %)"),
              quantiles(std::array{0.05, 0.7, 0.5, 0.74}));
  expect_same(parse("tests(78 %, 79 %, 80 %)"), tests(std::vector{0.78, 0.79, 0.8}));
}

TEST(DistributionText, MeasuredAsksForTheColumn) {
  const auto read = [](const std::string& path, const std::string& column) {
    EXPECT_EQ(path, "pump tests (old), 2.csv");
    EXPECT_EQ(column, "content [x]");
    return std::vector<double>{0.8, 0.7};
  };
  const Distribution law = parse_distribution(
      "measured(\"pump tests (old), 2.csv\", \"content [x]\")", Dimension::content, read);
  EXPECT_EQ(lowest(law), 0.7);
}

TEST(DistributionText, OneMeasuredValueIsRefused) {
  const auto error_of = [](const std::string& window, std::vector<double> values) {
    try {
      parse_distribution("measured(\"a.csv\", \"b\")" + window, Dimension::content,
                         [&](const std::string&, const std::string&) { return values; });
    } catch (const text::Error& error) {
      return std::string(error.what());
    }
    return std::string("accepted");
  };
  EXPECT_EQ(error_of("", {0.8, 0.7}), "accepted");
  EXPECT_EQ(error_of("", {0.8}),
            "measured: one value says nothing of scatter, two at least are needed; "
            "measured(\"file\", \"column\")");
  EXPECT_EQ(
      error_of(" in [75 %, 90 %]", {0.8, 0.7}),
      "the window [75 %, 90 %] holds one measured value alone, which says nothing of scatter; "
      "a window that holds two at least");
}

TEST(DistributionText, ReadersErrorPassesThrough) {
  EXPECT_THROW(parse("measured(\"a.csv\", \"b\")"), text::Error);
}

TEST(DistributionText, WindowTruncates) {
  const Distribution law = parse("normal(78 %, 3 %) in [70 %, 90 %]");
  EXPECT_EQ(lowest(law), 0.7);
  EXPECT_EQ(highest(law), 0.9);
  EXPECT_EQ(lowest(parse("normal(78 %, 3 %)in[70 %,90 %]")), 0.7);
  EXPECT_TRUE(is_exact(parse("4 min in [1 min, 5 min]", Dimension::time)));
}

struct Wrong {
  const char* text;
  const char* what;      // part of what is wrong
  const char* accepted;  // part of what is accepted
};

TEST(DistributionText, ErrorsSayWhatIsWrongAndWhatIsAccepted) {
  const std::array cases{
      Wrong{"", "no value", "a content such as"},
      Wrong{"normal(78 %)", "given 1 parameter", "normal(mean, sd)"},
      Wrong{"normal()", "given 0 parameters", "normal(mean, sd)"},
      Wrong{"uniform(1 %, 2 %, 3 %)", "given 3 parameters", "uniform(low, high)"},
      Wrong{"tests(78 %)", "given 1 parameter", "tests(x1, x2, ...)"},
      Wrong{"quantiles(5 %: 70 %)", "given 1 parameter", "quantiles(share: x1, share: x2, ...)"},
      Wrong{"quantiles(5 %: 70 %, 74 %)", "\"74 %\" has no share before it", "quantiles(share:"},
      Wrong{"quantiles(5 %: 70 %, 100 %: 74 %)", "above 0 % and below 100 %", "quantiles(share:"},
      Wrong{"quantiles(5 %: 70 %, 50 %: 69 %)", "must rise", "quantiles(share:"},
      Wrong{"quantiles(5 %: E70, 50 %: 69 %)", "names a fuel", "tests(...)"},
      Wrong{"norml(78 %, 3 %)", "unknown law \"norml\"", "the nearest known one is normal("},
      Wrong{"gaussian(78 %, 3 %)", "unknown law \"gaussian\"", "one of exact(value), normal("},
      Wrong{"normal(78 %, E3)", "is a fuel", "a difference such as 3 %"},
      Wrong{"student(78 %, E3, 4)", "is a fuel", "a difference such as 3 %"},
      Wrong{"normal(78, 3 %)", "\"78\" has no unit", "a content such as"},
      Wrong{"normal(78 %, 3)", "\"3\" has no unit", "a difference such as 3 %"},
      Wrong{"normal(78 %, 0 %)", "must be above 0", "normal(mean, sd)"},
      Wrong{"normal(78 %, )", "no value", "a difference"},
      Wrong{"normal(,78 %, 3 %)", "given 3 parameters", "normal(mean, sd)"},
      Wrong{"triangular(1 %,,3 %)", "no value", "a content"},
      Wrong{"normal(78 %, 3 %", "no closing parenthesis", "normal(mean, sd)"},
      Wrong{"(78 %, 3 %)", "no name", "normal(mean, sd)"},
      Wrong{"uniform(80 %, 70 %)", "low must be below high", "uniform(low, high)"},
      Wrong{"beta(51 %, 83 %, 2 %, 3)", "unit where none belongs", "a number without a unit"},
      Wrong{"normal(78 %, 3 %) 4", "is not a window", "in [low, high]"},
      Wrong{"normal(78 %, 3 %) in 70 %", "is not a window", "in [low, high]"},
      Wrong{"normal(78 %, 3 %) in [70 %]", "two bounds", "in [low, high]"},
      Wrong{"normal(78 %, 3 %) in [90 %, 70 %]", "not below", "in [low, high]"},
      Wrong{"normal(0 %, 1 %) in [90 %, 95 %]",
            "the window [90 %, 95 %] holds none of the distribution", "holds some"},
      Wrong{"78 % in [80 %, 90 %]", "holds none", "holds some"},
      Wrong{"78 % [80 %, 90 %]", "is not a window", "in [low, high]"},
      Wrong{"measured(a.csv, b)", "not a name between double quotes", "measured(\"file\""},
      Wrong{"[", "is not a window", "in [low, high]"},
      Wrong{"in [1 %, 2 %]", "", ""},
  };
  for (const Wrong& wrong : cases) {
    try {
      parse(wrong.text);
      ADD_FAILURE() << wrong.text << " was accepted";
    } catch (const text::Error& error) {
      EXPECT_NE(error.wrong.find(wrong.what), std::string::npos)
          << wrong.text << ": " << error.wrong;
      EXPECT_NE(error.accepted.find(wrong.accepted), std::string::npos)
          << wrong.text << ": " << error.accepted;
    }
  }
}

// E and a number name a fuel: its content is what its standard allows, or what tests of it say.
TEST(DistributionText, AFuelsNameIsNoContent) {
  for (const char* text : {"E85", "e85", "E-85", "E 85", "E85 %", "exact(E85)", "normal(E78, 3 %)",
                           "uniform(68 %, E83)", "tests(78 %, E79)", "E85 in [51 %, 83 %]"}) {
    try {
      parse(text);
      ADD_FAILURE() << text << " was accepted";
    } catch (const text::Error& error) {
      EXPECT_NE(error.wrong.find("names a fuel, not a content"), std::string::npos) << error.wrong;
      EXPECT_NE(error.accepted.find("the limits of the standard"), std::string::npos)
          << error.accepted;
      EXPECT_NE(error.accepted.find("tests(...) or measured(...)"), std::string::npos);
    }
  }
}

TEST(DistributionText, NamesUnitsAndWindowsInAnyCase) {
  expect_same(parse("Normal(78 %, 3 PERCENT)"), normal(0.78, 0.03));
  expect_same(parse("UNIFORM(1 litre, 2 l)", Dimension::volume), uniform(1.0, 2.0));
  EXPECT_EQ(lowest(parse("normal(78 %, 3 %) IN [70 %, 90 %]")), 0.7);
  EXPECT_TRUE(is_exact(parse("4 min In [1 min, 5 min]", Dimension::time)));
}

TEST(DistributionText, DecimalCommasAreRefusedAsSuch) {
  const std::array cases{
      Wrong{"75,5 %", "\"75,5 %\" has a decimal comma", "write 75.5 %"},
      Wrong{"normal(75,5 %, 3 %)", "\"75,5 %\" has a decimal comma", "write 75.5 %"},
      Wrong{"normal(75 %, 1,5 %)", "\"1,5 %\" has a decimal comma", "write 1.5 %"},
      Wrong{"normal(75,5 %, 1,5 %)", "\"75,5 %\" has a decimal comma", "write 75.5 %"},
      Wrong{"tests(78,5 %, 79,1 %)", "\"78,5 %\" has a decimal comma, or no unit before it",
            "write 78.5 %, or a unit with each number"},
      Wrong{"uniform(70,75 %)", "\"70,75 %\" has a decimal comma, or no unit before it",
            "write 70.75 %, or a unit with each number"},
      Wrong{"beta(51 %, 83 %, 2,5, 3)", "\"2,5\" has a decimal comma", "write 2.5"},
      Wrong{"normal(75 %, 2 %) in [51,5 %, 83 %]", "\"51,5 %\" has a decimal comma",
            "write 51.5 %"},
  };
  for (const Wrong& wrong : cases) {
    try {
      parse(wrong.text);
      ADD_FAILURE() << wrong.text << " was accepted";
    } catch (const text::Error& error) {
      EXPECT_EQ(error.wrong, wrong.what);
      EXPECT_EQ(error.accepted, wrong.accepted);
    }
  }
  // Where no unit belongs, the comma parts two numbers.
  expect_same(parse("beta(51 %, 83 %, 2,5)"), beta(0.51, 0.83, 2.0, 5.0));
}

TEST(DistributionText, ShapesBeyondAnyDataAreRefused) {
  for (const std::string law : {"beta(0 %, 90 %, 0.31e308, 5)", "beta(0 %, 90 %, 5, 1e-9)",
                                "student(50 %, 2 %, 1e-4)", "student(50 %, 2 %, 1e300)"}) {
    try {
      parse_distribution(law, units::Dimension::content, {});
      ADD_FAILURE() << "accepted: " << law;
    } catch (const text::Error& error) {
      const char* const range = law.starts_with("beta") ? "0.001 to 1e9" : "0.02 to 1e9";
      EXPECT_NE(error.wrong.find(range), std::string::npos) << error.what();
    }
  }
}

TEST(DistributionText, LongWindowsAreCutInErrors) {
  const std::string nines(1000, '9');
  for (const std::string& window : {nines, "2 L, 1." + nines + " L", "2 L, 2." + nines + " L"}) {
    try {
      parse_distribution("1 L in [" + window + "]", units::Dimension::volume, {});
      ADD_FAILURE() << "accepted";
    } catch (const text::Error& error) {
      EXPECT_LT(error.wrong.size(), 200U);
    }
  }
}

TEST(DistributionText, NamesListEveryLaw) {
  for (const char* name : {"exact", "normal", "uniform", "triangular", "trapezoidal", "arcsine",
                           "beta", "student", "tests", "measured"}) {
    EXPECT_NE(law_names_text().find(std::string(name) + "("), std::string::npos) << name;
  }
}

}  // namespace
}  // namespace blendrisk::distributions
