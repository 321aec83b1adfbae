#include "scenario/include.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <random>

#include "scenario/correlation.hpp"
#include "scenario/keys.hpp"
#include "scenario/read.hpp"
#include "tests/scenarios.hpp"
#include "text/error.hpp"

namespace blendrisk::scenario {
namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;
using Files = std::map<std::string, std::string>;

ReadInclude read_from(const Files& files) {
  return [&files](const std::string& path) -> Source {
    const auto found = files.find(path);
    if (found == files.end()) throw text::Error("cannot be opened (no such file or directory)");
    return {path, found->second};
  };
}

std::vector<Entry> entries_of(const Files& files, const std::string& text) {
  return with_includes({"car.ini", text}, read_from(files));
}

std::string refused(const Files& files, const std::string& text) {
  try {
    entries_of(files, text);
  } catch (const text::Error& error) {
    return error.what();
  }
  return "accepted";
}

TEST(Include, WhatIsGivenAgainWinsOverWhatWasTakenInAndLaterIncludesOverEarlier) {
  const Files files{{"a.ini", "title = A\n[tank]\ncapacity = 50 L\npickup-floor = 1 L\n"},
                    {"b.ini", "[tank]\ncapacity = 55 L # b\n"}};
  const auto entries = entries_of(
      files, "include = a.ini # the base\ninclude = b.ini\ntitle = own\n[heel]\nindicated = 5 L\n");
  EXPECT_EQ(value_of(entries, "title"), "own");
  EXPECT_EQ(value_of(entries, "tank.capacity"), "55 L");
  EXPECT_EQ(value_of(entries, "tank.pickup-floor"), "1 L");
  EXPECT_EQ(value_of(entries, "heel.indicated"), "5 L");
  EXPECT_EQ(value_of(entries, "include"), "");
  EXPECT_EQ(entries.size(), 4U);
}

TEST(Include, AKeyThatExcludesOthersPutsThoseTakenInOutOfUse) {
  const Files files{{"a.ini",
                     "[heel]\nreading = 8 %\ndistance-left = 40 km\neconomy = 8 L/100km\n"
                     "reserve = 2 L\n"}};
  const auto entries =
      entries_of(files, "include = a.ini\n[heel]\ncontent = 10 %\nindicated = 5 L\n");
  EXPECT_EQ(entries.size(), 2U);
  // In one text both stay, and are refused as they always are.
  EXPECT_EQ(entries_of({}, "[heel]\nreading = 8 %\ncontent = 10 %\n").size(), 2U);
}

TEST(Include, PathsAreThoseSeenFromTheTextTheyStandIn) {
  const Files files{{"../pumps/a.ini",
                     "include = deep/b.ini\n[fuel]\n"
                     "hose-content = Measured( \"h.csv\", \"x_percent\")\n"},
                    {"../pumps/deep/b.ini",
                     "[fuel]\ncontent = measured(\"/data/c.csv\", \"y\") in [0 %, 100 %]\n"
                     "meter-error = measured(\"m.csv\", \"z\")\n"}};
  const auto entries = entries_of(files, "include = \"../pumps/a.ini\"\n");
  EXPECT_EQ(value_of(entries, "fuel.hose-content"), "Measured( \"../pumps/h.csv\", \"x_percent\")");
  EXPECT_EQ(value_of(entries, "fuel.content"), "measured(\"/data/c.csv\", \"y\") in [0 %, 100 %]");
  EXPECT_EQ(value_of(entries, "fuel.meter-error"), "measured(\"../pumps/deep/m.csv\", \"z\")");
}

TEST(Include, EightWithinOneAnotherAreAcceptedAndNine) {
  Files files;
  for (int i = 1; i < 10; ++i) {
    files["f" + std::to_string(i)] = "include = f" + std::to_string(i + 1) + "\n";
  }
  files["f8"] = "title = deep\n";
  EXPECT_EQ(value_of(entries_of(files, "include = f1\n"), "title"), "deep");
  files["f8"] = "include = f9\n";
  files["f9"] = "title = too deep\n";
  EXPECT_EQ(refused(files, "include = f1\n"),
            "f8:1 (included by f7:1): include: 'f9' is the ninth include within another; eight are "
            "accepted");
}

// Twenty that are refused, each in one line that names the text, its line and who took it in.
TEST(Include, BadOnesAreRefusedWhereTheyStand) {
  const std::string by = " (included by car.ini:1): ";
  const std::string large(k_largest_text + 1, '\n');
  struct Bad {
    Files files;
    std::string text, what;
  };
  std::string many;
  for (int i = 0; i < 65; ++i) many += "include = a\n";
  const std::string one = "include = a\n";
  const std::vector<Bad> all{
      {{}, one, "a" + by + "cannot be opened (no such file or directory); a scenario file is"},
      {{}, "include =\n", "car.ini:1: include: has no value; a scenario file is accepted"},
      {{}, "include = \"\"\n", "car.ini:1: include: has no value"},
      {{}, "include\n", "car.ini:1: 'include' is no line of a scenario"},
      {{}, "[tank]\ninclude = a\n", "car.ini:2: include: stands in [tank]; above the first"},
      {{}, "includes = a\n", "car.ini:1: includes: unknown key"},
      {{{"car.ini", one}},
       "include = car.ini\n",
       "car.ini:1: include: 'car.ini' includes itself; a"},
      {{{"a", one}}, one, "a:1 (included by car.ini:1): include: 'a' includes itself; another"},
      {{{"a", "include = b\n"}, {"b", one}},
       one,
       "b:1 (included by a:1): include: 'a' includes itself by way of this line"},
      {{{"a", ""}}, one, "a" + by + "is empty"},
      {{{"a", large}}, one, "a" + by + "is larger than 1 MB"},
      {{{"a", "\xff\n"}}, one, "a:1" + by + "the line"},
      {{{"a", "[tnak]\n"}}, one, "a:1" + by + "unknown section '[tnak]'"},
      {{{"a", "[tank]\ncapacty = 1 L\n"}}, one, "a:2" + by + "tank.capacty: unknown key"},
      {{{"a", "[tank]\ncapacity\n"}}, one, "a:2" + by + "'capacity' is no line of a scenario"},
      {{{"a", "title = x\ntitle = y\n"}},
       one,
       "a:2" + by + "title: is given twice, on lines 1 and 2"},
      {{{"a", "\n\ninclude = b\n"}, {"b", "[tank\n"}}, one, "b:1 (included by a:3): '[tank'"},
      {{{"a", "title = x\n"}}, many, "car.ini:65: include: 'a' is one include too many; 64 in"},
      {{}, "include = a\xe2\x80\xa8\n", " (included by car.ini:1): cannot be opened"},
      {{{"a", "title = x\n"}},
       "title = y\ntitle = z\ninclude = a\n",
       "car.ini:2: title: is given twice"},
  };
  ASSERT_EQ(all.size(), 20U);
  for (const Bad& bad : all) {
    const std::string what = refused(bad.files, bad.text);
    EXPECT_THAT(what, HasSubstr(bad.what));
    EXPECT_EQ(std::ranges::count(what, '\n'), 0) << what;
  }
}

TEST(Include, AValueThatIsRefusedNamesItsTextAndWhoTookItIn) {
  const Files files{{"pump.ini", "[fuel]\ncontent = 120 %\n"}};
  const std::string car =
      "include = pump.ini\n[tank]\ncapacity = 60 L\n[heel]\nindicated = 5 L\ncontent = 10 %\n"
      "[limits]\nminimum = 60 %\n";
  try {
    read(
        {"car.ini", car}, {}, [](const std::string&) { return std::string(); }, read_from(files));
    FAIL() << "accepted";
  } catch (const text::Error& error) {
    EXPECT_THAT(error.what(), StartsWith("pump.ini:2 (included by car.ini:1): fuel.content: "));
  }
}

TEST(Include, IsRefusedWhereThereAreNoFiles) {
  try {
    read({"page.ini", "include = a.ini\n"}, {}, [](const std::string&) { return std::string(); });
    FAIL() << "accepted";
  } catch (const text::Error& error) {
    EXPECT_STREQ(error.what(),
                 "page.ini:1: include: is not accepted here, where there are no files; one text "
                 "with all of its lines is accepted");
  }
}

/// What a scenario was given, key by key; correlations stand as they were found.
std::vector<std::string> given_in(const Scenario& scenario) {
  std::vector<std::string> all;
  for (const Given& one : scenario.given) all.push_back(one.key + "=" + one.value);
  std::ranges::sort(all);
  return all;
}

// Its lines dealt out at random to a tree of includes, some given wrongly below, are the scenario.
TEST(Include, AScenarioSplitAtRandomIsTheSameScenario) {
  std::mt19937 random(20260501);
  const auto below = [&](std::size_t most) { return static_cast<std::size_t>(random() % most); };
  const auto whole = testing::example("van-one-supplier.ini");
  std::string text;
  for (const Given& one : whole.given) {
    const std::size_t dot = one.key.find('.');
    const std::string value =
        is_correlation(one.key) ? one.value.substr(0, one.value.find(' ')) : one.value;
    if (dot == std::string::npos) {
      text = one.key + " = " + value + "\n" + text;
    } else {
      text += "[" + one.key.substr(0, dot) + "]\n" + one.key.substr(dot + 1) + " = " + value + "\n";
    }
  }
  const ReadText none = [](const std::string&) { return std::string(); };
  const std::vector<std::string> expected = given_in(read({"whole.ini", text}, {}, none));
  for (int round = 0; round < 200; ++round) {
    Files files;
    std::vector<std::string> texts(2 + below(6));
    std::vector<std::string> heads(texts.size());
    for (std::size_t i = 1; i < texts.size(); ++i) {
      heads[below(i)] += "include = f" + std::to_string(i) + "\n";
    }
    for (const Entry& entry : parse_ini("whole.ini", text)) {
      const std::size_t dot = entry.key.find('.');
      const std::size_t to = below(texts.size());
      if (dot == std::string::npos) {
        heads[to] += entry.key + " = " + entry.value + "\n";
        continue;
      }
      const std::string section = "[" + entry.key.substr(0, dot) + "]\n";
      texts[to] += section + entry.key.substr(dot + 1) + " = " + entry.value + "\n";
      // Wrong where something above it gives it again; f0 is above all.
      if (to == 0 && entry.key == "tank.capacity") {
        texts.back() += section + "capacity = 1 L\n";
      }
    }
    for (std::size_t i = 0; i < texts.size(); ++i) {
      files["f" + std::to_string(i)] = heads[i] + texts[i] + "# end\n";
    }
    const Scenario split = read({"f0", files["f0"]}, {}, none, read_from(files));
    ASSERT_EQ(given_in(split), expected) << files["f0"];
    // As one text again it is the same, too.
    const auto entries = with_includes({"f0", files["f0"]}, read_from(files));
    ASSERT_EQ(given_in(read({"again", ini_text(entries)}, {}, none)), expected);
  }
}

}  // namespace
}  // namespace blendrisk::scenario
