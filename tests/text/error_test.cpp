#include "text/error.hpp"

#include <gtest/gtest.h>

namespace blendrisk::text {
namespace {

[[noreturn]] void fail(const Place& place, const std::string& accepted = "a number") {
  throw Error("'x' is no number", accepted, place);
}

/// What is thrown by act(), in one line.
template <class Act>
Error thrown(const Act& act) {
  try {
    act();
  } catch (const Error& error) {
    return error;
  }
  return Error("nothing is thrown");
}

TEST(TextError, IsOneLineOfTheParts) {
  EXPECT_STREQ(Error("is empty").what(), "is empty");
  EXPECT_STREQ(Error("is empty", "text").what(), "is empty; text");
  EXPECT_STREQ(Error("is empty", "text", {"a.ini"}).what(), "a.ini: is empty; text");
  EXPECT_STREQ(Error("is empty", "", {"a.ini", 3}).what(), "a.ini:3: is empty");
  EXPECT_STREQ(Error("is empty", "text", {"a.ini", 3, "b.c"}).what(),
               "a.ini:3: b.c: is empty; text");
}

TEST(TextError, APlaceDrivesNoTerminal) {
  EXPECT_EQ((Place{"a\x1b[2J.ini", 1, "b\n"}.head()), "a\\x1b[2J.ini:1: b\\x0a: ");
}

TEST(TextError, APlaceSaysWhoTookItsFileIn) {
  EXPECT_EQ((Place{"b.ini", 2, "k", "a\n.ini:1"}.head()),
            "b.ini:2 (included by a\\x0a.ini:1): k: ");
  const Error error =
      thrown([] { at({.source = "b.ini", .included_by = "a.ini:1"}, [] { fail({.line = 7}); }); });
  EXPECT_EQ(error.place.included_by, "a.ini:1");
  EXPECT_STREQ(error.what(), "b.ini:7 (included by a.ini:1): 'x' is no number; a number");
}

TEST(TextError, OuterLayersFillInWhatIsMissing) {
  const Error error = thrown([] {
    at({"a.ini", 3}, [] { at({.key = "b.c"}, [] { fail({}); }); });
  });
  EXPECT_STREQ(error.what(), "a.ini:3: b.c: 'x' is no number; a number");
  EXPECT_EQ(error.place.source, "a.ini");
  EXPECT_EQ(error.place.line, 3U);
  EXPECT_EQ(error.place.key, "b.c");
  EXPECT_EQ(error.wrong, "'x' is no number");
  const Error line = thrown([] { at({"a.ini", 3}, [] { fail({.line = 7}); }); });
  EXPECT_STREQ(line.what(), "a.ini:7: 'x' is no number; a number");
}

TEST(TextError, APlaceElsewhereStandsBehindTheOuterOne) {
  const Error error = thrown([] { at({"a.ini", 3, "b.c"}, [] { fail({"tests.csv", 9}); }); });
  EXPECT_STREQ(error.what(), "a.ini:3: b.c: tests.csv:9: 'x' is no number; a number");
  EXPECT_EQ(error.place.source, "a.ini");
  const Error keys = thrown([] { at({.key = "b.c"}, [] { fail({.key = "d"}); }); });
  EXPECT_STREQ(keys.what(), "b.c: d: 'x' is no number; a number");
  const Error kept = thrown([] { at({}, [] { fail({"tests.csv", 9}); }); });
  EXPECT_EQ(kept.place.source, "tests.csv");
}

TEST(TextError, WhatIsAcceptedIsSaidByTheInnermostThatKnows) {
  const auto accepted = [](const std::string& inner) {
    return thrown([&] {
             at(
                 {}, [&] { fail({}, inner); }, "a volume");
           })
        .accepted;
  };
  EXPECT_EQ(accepted(""), "a volume");
  EXPECT_EQ(accepted("a number"), "a number");
}

TEST(TextError, ResultsAndFaultsPassThrough) {
  EXPECT_EQ(at({"a.ini"}, [] { return 7; }), 7);
  const Error error =
      thrown([] { at({"a.ini"}, [] { throw Error("is full", {}, {}, Fault::surroundings); }); });
  EXPECT_EQ(error.fault, Fault::surroundings);
  EXPECT_EQ(thrown([] { fail({}); }).fault, Fault::input);
  EXPECT_THROW(at({"a.ini"}, [] { throw std::logic_error("ours"); }), std::logic_error);
}

}  // namespace
}  // namespace blendrisk::text
