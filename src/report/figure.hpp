#pragma once

#include <string>
#include <vector>

/// A picture as plain values, and the gnuplot script that draws it. Texts come from anywhere: they
/// are cleaned and quoted, and nothing in them is markup or a command.
namespace blendrisk::report {

enum class PictureFormat { svg, png, pdf };

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
  std::string label;  ///< written at its right end
};

/// A straight line across the picture.
struct FigureLevel {
  double at;
  std::string label;
  bool vertical = false;
};

struct FigureMark {
  double x, y;
  std::string label;
  bool label_left = false;
};

/// The area under a curve, down to the axis.
struct FigureArea {
  std::vector<double> x, y;
};

/// A bar from 0 with its interval; from the top down.
struct FigureBar {
  std::string label;
  double value, low, high;
};

struct Figure {
  std::string title;
  FigureAxis x, y;
  std::vector<FigureLine> lines;
  std::vector<FigureLevel> levels;
  std::vector<FigureMark> marks;
  std::vector<FigureBar> bars;    ///< at y = their number − 1 down to 0
  std::vector<FigureArea> areas;  ///< shaded, under the first line
  bool compact = false;           ///< small, with large letters and no title, for a page
  std::string alt;                ///< what it shows, in a sentence, for those who cannot see it
};

/// The most curves of one picture: colours and line styles that stay apart.
inline constexpr std::size_t k_most_lines = 8;

/// Round ticks between low and high, at most about `most`, written with as many decimals as their
/// step needs.
std::vector<Tick> linear_ticks(double low, double high, int most = 7);

/// Powers of ten from low to high (both positive), with 2 and 5 between where the range is short.
/// @param unit  written after each, " %"
std::vector<Tick> log_ticks(double low, double high, const std::string& unit);

/// The script that writes the picture to gnuplot's standard output. Nothing but the figure goes in:
/// no time, no path.
std::string gnuplot_script(const Figure& figure, PictureFormat format);

}  // namespace blendrisk::report
