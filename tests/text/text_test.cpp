#include <gtest/gtest.h>

#include <array>
#include <string>
#include <string_view>
#include <tuple>
#include <vector>

#include "text/nearest.hpp"
#include "text/number.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"
#include "text/utf8.hpp"

namespace blendrisk::text {
namespace {

TEST(Utf8, CharactersAreWellFormedOrOneByteEach) {
  for (const auto& [text, code, length] :
       {std::tuple("a", U'a', 1U), std::tuple("\u00e9", U'\u00e9', 2U),
        std::tuple("\u20acx", U'\u20ac', 3U), std::tuple("\U0001F600", U'\U0001F600', 4U),
        // Overlong, a surrogate, beyond the last code, cut off, a byte of the middle: RFC 3629.
        std::tuple("\xC0\xAF", k_malformed, 1U), std::tuple("\xE0\x80\xAF", k_malformed, 1U),
        std::tuple("\xED\xA0\x80", k_malformed, 1U),
        std::tuple("\xF4\x90\x80\x80", k_malformed, 1U), std::tuple("\xE2\x82", k_malformed, 1U),
        std::tuple("\x80", k_malformed, 1U)}) {
    EXPECT_EQ(front(text).code, code) << text;
    EXPECT_EQ(front(text).length, length) << text;
    EXPECT_EQ(is_utf8(text), code != k_malformed) << text;
  }
  EXPECT_TRUE(is_utf8(""));
}

TEST(Quoting, EscapesWhatCouldDriveATerminal) {
  EXPECT_EQ(escaped("a\x1b[1m\u00e9\x9b\u009b\x7f"), "a\\x1b[1m\u00e9\\x9b\\xc2\\x9b\\x7f");
  EXPECT_EQ(in_quotes("\u00e9\u00e9\u00e9", 2), "'\u00e9\u00e9...'");
  EXPECT_EQ(in_quotes("ab", 2), "'ab'");
  EXPECT_EQ(in_double_quotes(std::string(59, 'x') + "\u00e9"),
            '"' + std::string(59, 'x') + "...\"");
}

TEST(Quoting, SaysWhyALineCannotBeRead) {
  EXPECT_EQ(unreadable_because("a\tb \u00e9"), "");
  EXPECT_EQ(unreadable_because("\x80\x07"), "holds a control character (byte 0x07)");
  EXPECT_EQ(unreadable_because("\u0085"), "holds a control character (bytes 0xc2 0x85)");
  EXPECT_EQ(unreadable_because("a\x85"), "is not UTF-8 text");
  EXPECT_EQ(unreadable_because(std::string(k_longest_line + 1, 'a')),
            "is longer than 10000 characters");
}

TEST(Pieces, AreThoseOutsideQuotesAndBrackets) {
  using Found = std::vector<std::string_view>;
  EXPECT_EQ(pieces(" a , b,", ','), (Found{"a", "b", ""}));
  EXPECT_EQ(pieces("", ','), (Found{""}));
  EXPECT_EQ(pieces("\"a,b\",(c,d)", ','), (Found{"\"a,b\"", "(c", "d)"}));
  EXPECT_EQ(pieces("(c;d);[e;f]", ';', true), (Found{"(c;d)", "[e;f]"}));
  EXPECT_EQ(pieces("a\r;b", ';', false, " "), (Found{"a\r", "b"}));
}

TEST(Number, IsWrittenInAsFewDigitsAsGiveItBack) {
  EXPECT_EQ(number_text(0.1), "0.1");
  EXPECT_EQ(number_text(0.1 + 0.2), "0.30000000000000004");
  EXPECT_EQ(number_text(0.1 + 0.2, 12), "0.3");
  EXPECT_EQ(number_text(-0.0), "0");
  EXPECT_EQ(number_text(1e300), "1e+300");
}

TEST(Number, TheFirstPieceWithACommaInItsNumber) {
  EXPECT_EQ(first_with_comma("normal(6,5 L, 0,8 L)"), "6,5 L");
  EXPECT_EQ(first_with_comma("idle 4,5 min, gentle"), "4,5 min");
  EXPECT_EQ(first_with_comma("7 min: 57,5 %"), "57,5 %");
  EXPECT_EQ(first_with_comma("1,2,"), "1,2");
  EXPECT_EQ(first_with_comma("normal(6 L, 8 L)"), "");
  EXPECT_EQ(first_with_comma(",5"), "");
  EXPECT_EQ(first_with_comma(""), "");
}

TEST(Nearest, FindsTheNameOfFewestEdits) {
  const std::vector<std::string> known{"normal", "uniform", "beta", "heel.content"};
  EXPECT_EQ(nearest("norml", known), "normal");
  EXPECT_EQ(nearest("Uniform", known), "uniform");
  EXPECT_EQ(nearest("ebta", known), "beta");
  EXPECT_EQ(nearest("heel.contnet", known), "heel.content");
}

TEST(Nearest, IsEmptyWhereNothingIsNear) {
  const std::vector<std::string> known{"normal", "beta", "x"};
  EXPECT_EQ(nearest("gaussian", known), "");
  EXPECT_EQ(nearest("y", known), "");
  EXPECT_EQ(nearest("", known), "");
  EXPECT_EQ(nearest(std::string(1000, 'b'), known), "");
  EXPECT_EQ(nearest("beta", {}), "");
}

}  // namespace
}  // namespace blendrisk::text
