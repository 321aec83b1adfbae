#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "answer/words.hpp"

/// A picture as plain values. Texts come from anywhere.
namespace blendrisk::answer {

struct Tick {
  double at;
  std::string text;  ///< may have two lines
};

struct FigureAxis {
  std::string title;
  double low = 0.0, high = 1.0;  ///< low < high; both positive where log
  bool log = false;
  std::vector<Tick> ticks;
};

/// A curve; points that are not finite break it. The band is empty or as long as the curve.
struct FigureLine {
  std::vector<double> x, y;
  std::vector<double> band_low, band_high;
  std::string label;     ///< written beside its right end
  std::string reason{};  ///< why a point that is not finite has no value
};

/// A straight line across the picture.
struct FigureLevel {
  double at;
  std::string label;
  bool vertical = false;
};

inline constexpr std::size_t k_no_line = static_cast<std::size_t>(-1);

struct FigureMark {
  double x, y;
  std::string label;
  std::size_t line = k_no_line;  ///< whose colour it has
};

/// The area under a curve, down to the axis.
struct FigureArea {
  std::vector<double> x, y;
  std::string name;  ///< what is shaded: "below the minimum"
};

/// A bar from 0 with its interval, and what stands at its end. One that is not finite is not drawn:
/// its text says why.
struct FigureBar {
  double value, low, high;
  std::string text;
};

/// Bars of one thing, one of each of the figure's `bar_names`.
struct FigureRow {
  std::string label;
  std::vector<FigureBar> bars;
};

/// A cell of a grid: the number of its shade, the larger the darker, and what stands in it.
struct FigureCell {
  int shade;
  std::string text;
};
inline constexpr int k_no_shade = -1;

struct FigureCells {
  std::string label;
  std::vector<FigureCell> cells;
};

struct Figure {
  std::string title;
  FigureAxis x, y;
  std::vector<FigureLine> lines;
  std::vector<FigureLevel> levels;
  std::vector<FigureMark> marks;
  std::vector<FigureArea> areas;  ///< shaded, under the first line
  std::vector<FigureRow> rows;    ///< from the top down, along x; y has a title alone then
  std::vector<std::string> bar_names;
  std::vector<FigureCells> matrix;          ///< a grid in place of axes, from the top down
  std::vector<std::string> matrix_columns;  ///< what stands above it, one a column
  std::vector<std::string> notes;           ///< sentences below the picture
  std::string foot = "caution.short"_w;     ///< the last line
  bool compact = false;                     ///< small, with large letters and no title, for a page
  std::string alt;  ///< what it shows, in a sentence, for those who cannot see it
};

/// The most curves of one picture: colours and line styles that stay apart.
inline constexpr std::size_t k_most_lines = 8;

/// Where a value stands between the ends of an axis: 0 at the low one, 1 at the high one.
double place_on(const FigureAxis& axis, double value);

/// Round ticks between low and high, at most about `most`, written with as many decimals as their
/// step needs.
std::vector<Tick> linear_ticks(double low, double high, int most = 7);

/// Ticks of chances from low to high percent (both positive): powers of ten, with 2 and 5 between
/// where the range is short. "0.001 %"; below 0.0001 % as "1 in 10 million".
std::vector<Tick> chance_ticks(double low, double high);

/// Whether a shade is large enough to be seen.
bool is_seen(const Figure& figure, const FigureArea& area);

/// What of the figure its frame does not show, in sentences: levels and marks off the axes, points
/// without a value or off the axes, shades too small to be seen.
std::vector<std::string> unseen(const Figure& figure);

/// A sentence's start, or an axis's title, of a label.
std::string capitalised(std::string label);

/// The unit after the number of each tick.
void add_unit(std::vector<Tick>& ticks, const std::string& unit);

}  // namespace blendrisk::answer
