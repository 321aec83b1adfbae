#pragma once

#include "answer/figure.hpp"

/// Where everything of a picture stands, whatever draws it.
namespace blendrisk::render {

using answer::Figure;
using answer::FigureArea;
using answer::FigureAxis;
using answer::FigureBar;
using answer::FigureLevel;
using answer::FigureLine;
using answer::FigureMark;
using answer::FigureRow;
using answer::Tick;

inline constexpr double k_line_height = 1.3;  ///< of the font
inline constexpr double k_edge = 12.0;        ///< free pixels around everything

/// In pixels of the canvas from its upper left corner.
struct Box {
  double left, top, right, bottom;
};

enum class Align { left, centre, right };

/// Colours by what they are for: text, text that stands back, a level, a curve or a kind of bar.
enum class Ink { text, soft, level, line };

/// One line of text. `x` is its left end, middle or right end, `y` its middle.
struct PlacedText {
  std::string text;
  double x, y;
  Align align = Align::left;
  Ink ink = Ink::text;
  std::size_t line = 0;  ///< which curve, where it is a curve's ink
};

struct PlacedStroke {
  double from_x, from_y, to_x, to_y;
  Ink ink = Ink::text;
  std::size_t line = 0;
};

struct PlacedBar {
  Box box;
  std::size_t kind;  ///< of the figure's bar_names
};

struct PlacedCell {
  Box box;
  int shade;  ///< as in answer::FigureCell
};

struct FigureLayout {
  double width, height, font;  ///< font: its height in pixels
  Box plot;                    ///< what the axes enclose
  std::vector<double> x_ticks, y_ticks;
  std::vector<PlacedText> texts;
  std::vector<PlacedStroke> strokes;
  std::vector<PlacedBar> bars;
  std::vector<PlacedCell> cells;
};

/// The room a text takes, on the safe side.
Box box_of(const PlacedText& text, double font);

bool overlap(const Box& a, const Box& b);

/// Every text of the figure whole, none on another or outside the canvas, which grows downward as
/// it has to. A label within the axes for which there is no room stands below the picture, and so
/// does what the axes do not show.
FigureLayout lay_out(const Figure& figure);

}  // namespace blendrisk::render
