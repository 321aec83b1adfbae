#include "render/figure_layout.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "answer/plain_text.hpp"
#include "render/figure_colours.hpp"
#include "render/text_size.hpp"

namespace blendrisk::render {
namespace {

using answer::chance_ticks;
using answer::cleaned;
using answer::k_most_lines;
using answer::k_no_line;
using answer::linear_ticks;
using answer::place_on;
using answer::unseen;

/// The first text that lies outside the canvas or on another; empty: none.
std::string misplaced(const FigureLayout& layout) {
  for (std::size_t i = 0; i < layout.texts.size(); ++i) {
    const Box box = box_of(layout.texts[i], layout.font);
    if (box.left < 0.0 || box.top < 0.0 || box.right > layout.width || box.bottom > layout.height) {
      return "outside: " + layout.texts[i].text;
    }
    for (std::size_t k = 0; k < i; ++k) {
      // Lines of one paragraph may touch.
      const Box other = box_of(layout.texts[k], layout.font);
      const Box less{other.left, other.top + 0.5, other.right, other.bottom - 0.5};
      if (overlap(box, less)) return layout.texts[k].text + " / " + layout.texts[i].text;
    }
  }
  return {};
}

std::string all_text(const FigureLayout& layout) {
  std::string all;
  for (const PlacedText& text : layout.texts) all += text.text + " ";
  return all;
}

class Random {
 public:
  explicit Random(unsigned seed) : engine_(seed) {}
  int whole(int low, int high) { return std::uniform_int_distribution<int>(low, high)(engine_); }
  double real(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(engine_);
  }
  std::string words(int most) {
    static const std::vector<std::string> k_words{
        "minimum",
        "62 %",
        "WWWWWWWWWW",
        "tests(70 %, 72 %, 74.5 %)",
        "i",
        "Füllung",
        "燃料の割合",
        "a-very-long-word-without-any-space-that-has-to-be-broken-somewhere-in-the-middle-of-it"};
    std::string text;
    const int count = whole(1, most);
    for (int i = 0; i < count; ++i) {
      text += (i == 0 ? "" : " ") +
              k_words[static_cast<std::size_t>(whole(0, static_cast<int>(k_words.size()) - 1))];
    }
    return text;
  }

 private:
  std::mt19937 engine_;
};

Figure any_figure(Random& random) {
  Figure figure;
  figure.title = random.words(20);
  figure.compact = random.whole(0, 1) == 1;
  figure.y.title = random.words(15);
  figure.x = {random.words(12), 0.0, random.real(0.1, 50.0), false, {}};
  figure.x.ticks = linear_ticks(0.0, figure.x.high);
  if (random.whole(0, 3) == 0) {
    for (Tick& tick : figure.x.ticks) tick.text += "\n12 h 30 min";
  }
  if (random.whole(0, 4) == 0) {
    figure.bar_names = {random.words(8), random.words(8)};
    for (int row = random.whole(1, 12); row > 0; --row) {
      const double value = random.real(0.0, figure.x.high);
      figure.rows.push_back({random.words(5),
                             {{value, 0.9 * value, std::min(1.1 * value, figure.x.high), "12.3 %"},
                              {std::nan(""), 0.0, 0.0, "the share cannot be told"}}});
    }
    return figure;
  }
  figure.y.low = 1e-6;
  figure.y.high = 100.0;
  figure.y.log = true;
  figure.y.ticks = chance_ticks(1e-6, 100.0);
  for (int line = random.whole(0, 8); line > 0; --line) {
    FigureLine one;
    const double rise = random.real(-10.0, 10.0);
    const double start = random.real(-5.0, 2.0);
    for (int i = 0; i <= 40; ++i) {
      one.x.push_back(figure.x.high * i / 40.0);
      one.y.push_back(std::pow(10.0, start + rise * i / 40.0));
    }
    one.label = random.words(4);
    figure.lines.push_back(one);
  }
  for (int level = random.whole(0, 6); level > 0; --level) {
    const bool vertical = random.whole(0, 1) == 1;
    figure.levels.push_back(
        {vertical ? random.real(-0.2, 1.2) * figure.x.high : std::pow(10.0, random.real(-7.0, 3.0)),
         random.words(6), vertical});
  }
  for (int mark = random.whole(0, 16); mark > 0; --mark) {
    figure.marks.push_back({random.real(0.0, 1.0) * figure.x.high,
                            std::pow(10.0, random.real(-6.0, 2.0)), random.words(2), 0});
  }
  return figure;
}

TEST(FigureLayout, TextsStayApartAndInside) {
  for (unsigned seed = 1; seed <= 400; ++seed) {
    Random random(seed);
    const Figure figure = any_figure(random);
    EXPECT_EQ(misplaced(lay_out(figure)), "") << seed;
  }
}

// What the check above would not let through.
TEST(FigureLayout, MisplacedTextsAreFound) {
  Random random(1);
  FigureLayout layout = lay_out(any_figure(random));
  layout.texts.push_back({"on the first", layout.texts[0].x + 2.0, layout.texts[0].y});
  EXPECT_NE(misplaced(layout), "");
  layout.texts.back() = {"beyond the right", layout.width - 20.0, layout.height - 200.0};
  EXPECT_NE(misplaced(layout), "");
}

TEST(FigureLayout, NoTextIsCut) {
  Figure figure;
  figure.title =
      "Invented car with a long name, from one fuel to another, by volume in the tank at click-off";
  figure.y.title =
      "How likely each content is; shaded: outside the limits, 0.002008 % (1 in 49800), and more "
      "words, so that it takes three lines in the end, the last of which is this";
  figure.lines.push_back({{0.0, 1.0},
                          {0.2, 0.4},
                          {},
                          {},
                          "tests(70 %, 72 %, 74.5 %, 76 %, 78 %, 80 %) in [60 %, 85 %]",
                          ""});
  const FigureLayout layout = lay_out(figure);
  EXPECT_EQ(misplaced(layout), "");
  const std::string all = all_text(layout);
  for (const std::string* text : {&figure.title, &figure.y.title, &figure.lines[0].label}) {
    EXPECT_NE(all.find(*text), std::string::npos) << all;
  }
  EXPECT_EQ(all.find("..."), std::string::npos);
}

TEST(FigureLayout, LabelsWithoutRoomStandBelow) {
  Figure figure;
  for (int i = 0; i < 40; ++i) {
    figure.levels.push_back({0.5 + 1e-4 * i, "limit number " + std::to_string(i), false});
  }
  const FigureLayout layout = lay_out(figure);
  EXPECT_EQ(misplaced(layout), "");
  const std::string all = all_text(layout);
  for (const FigureLevel& level : figure.levels) {
    EXPECT_NE(all.find(level.label), std::string::npos) << level.label;
  }
  EXPECT_NE(all.find("Straight line without a label: limit number"), std::string::npos);
}

TEST(FigureLayout, EveryPictureEndsWithACaution) {
  Figure figure;
  figure.compact = true;
  EXPECT_NE(all_text(lay_out(figure)).find("Never rely on a computed chance alone"),
            std::string::npos);
}

TEST(Unseen, WhatTheFrameDoesNotShowIsSaid) {
  const double none = std::nan("");
  Figure figure;
  EXPECT_TRUE(unseen(figure).empty());
  figure.x = {"", 60.0, 75.0, false, {}};
  figure.levels = {{52.0, "minimum 52 %", true}, {70.0, "maximum 70 %", true}};
  EXPECT_EQ(unseen(figure),
            (std::vector<std::string>{"Minimum 52 % lies below what this axis shows."}));
  figure.levels.clear();
  figure.lines = {{{61.0, 62.0, 63.0, 64.0}, {none, 0.5, -1.0, -2.0}, {}, {}, "74 %", "no amount"},
                  {{61.0, 62.0}, {2.0, 3.0}, {}, {}, "", ""}};
  EXPECT_EQ(unseen(figure),
            (std::vector<std::string>{"74 %: 1 of its 4 points has no value: no amount.",
                                      "74 %: 2 of its 4 points lie below what this picture shows.",
                                      "The curve: all of its points lie above what this picture "
                                      "shows."}));
  figure.lines.clear();
  figure.areas = {{{61.0, 63.0}, {1e-5, 1e-4}, "below the minimum"}};
  EXPECT_EQ(unseen(figure),
            (std::vector<std::string>{"The shade of what lies below the minimum is too small to be "
                                      "seen."}));
  figure.areas[0].y = {0.1, 0.2};
  EXPECT_TRUE(unseen(figure).empty());
  figure.areas.clear();
  figure.marks = {{80.0, 0.5, "6.5 L", k_no_line}};
  EXPECT_EQ(unseen(figure), (std::vector<std::string>{"6.5 L lies outside this picture."}));
}

// Advance widths of DejaVu Sans 2.37 at 2048 units an em: A 1401, space 651, i 569.
TEST(TextSize, IsThatOfAWideFont) {
  EXPECT_NEAR(text_width("A i"), (1401 + 651 + 569) / 2048.0, 0.002);
  EXPECT_EQ(lines_within("one two three", 4.5), (std::vector<std::string>{"one two", "three"}));
  EXPECT_EQ(lines_within("WWWW", 2.1), (std::vector<std::string>{"WW", "WW"}));
  EXPECT_EQ(lines_within("W", 0.1), (std::vector<std::string>{"W"}));
  EXPECT_TRUE(lines_within("", 5.0).empty());
  EXPECT_GE(text_width("\u71c3"), 1.0);
}

/// The cell of a grid that `text` stands in whole; nullptr: none.
const PlacedCell* cell_around(const FigureLayout& layout, const PlacedText& text) {
  const Box box = box_of(text, layout.font);
  for (const PlacedCell& cell : layout.cells) {
    if (box.left >= cell.box.left && box.right <= cell.box.right && box.top >= cell.box.top &&
        box.bottom <= cell.box.bottom) {
      return &cell;
    }
  }
  return nullptr;
}

// Whatever is written in them: names and cells of any length, one column or many.
TEST(FigureLayout, TheCellsOfAGridHoldTheirTextsAndTouchOnlyAtTheirEdges) {
  Random random(20260502);
  for (int round = 0; round < 60; ++round) {
    Figure figure;
    figure.title = random.words(6);
    const int columns = random.whole(1, 9);
    for (int c = 0; c < columns; ++c) figure.matrix_columns.push_back(random.words(4));
    const int rows = random.whole(1, 9);
    std::size_t texts = 0;
    for (int r = 0; r < rows; ++r) {
      figure.matrix.push_back({random.words(6), {}});
      for (int c = 0; c < columns; ++c) {
        figure.matrix.back().cells.push_back({random.whole(-1, 4), random.words(5)});
      }
    }
    const FigureLayout layout = lay_out(figure);
    ASSERT_EQ(misplaced(layout), "");
    ASSERT_EQ(layout.cells.size(), static_cast<std::size_t>(rows * columns));
    for (const PlacedText& text : layout.texts) texts += cell_around(layout, text) ? 1 : 0;
    ASSERT_GE(texts, layout.cells.size());
    for (std::size_t i = 0; i < layout.cells.size(); ++i) {
      const Box& a = layout.cells[i].box;
      const Box less{a.left + 0.01, a.top + 0.01, a.right - 0.01, a.bottom - 0.01};
      for (std::size_t k = 0; k < i; ++k) ASSERT_FALSE(overlap(less, layout.cells[k].box));
    }
  }
}

/// Relative luminance of "#rrggbb" (WCAG 2.1, definition of relative luminance; from memory).
double luminance(const std::string& colour) {
  const auto channel = [&](std::size_t at) {
    const double c = std::stoi(colour.substr(at, 2), nullptr, 16) / 255.0;
    return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}

// Without its hue each shade is a step darker than the one before, and ink is read on all of them.
TEST(FigureColours, ShadesOfCellsStayApartInGreyAndBearInk) {
  const auto ratio = [](const std::string& light, const std::string& dark) {
    return (luminance(light) + 0.05) / (luminance(dark) + 0.05);
  };
  for (std::size_t i = 1; i < k_cell_colours.size(); ++i) {
    EXPECT_GT(ratio(k_cell_colours[i - 1], k_cell_colours[i]), 1.15);
  }
  for (const char* colour : k_cell_colours) EXPECT_GT(ratio(colour, k_ink_colour), 5.0);
  // Another hue of the same lightness is no step.
  EXPECT_LT(ratio("#d5e2ea", "#dfe1d3"), 1.15);
}

}  // namespace
}  // namespace blendrisk::render
