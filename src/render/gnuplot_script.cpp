#include "render/gnuplot_script.hpp"

#include <algorithm>
#include <cmath>

#include "answer/format.hpp"
#include "answer/plain_text.hpp"
#include "render/figure_colours.hpp"

namespace blendrisk::render {
namespace {

std::string number_text(double value) {
  return std::isfinite(value) ? answer::exact_text(value) : "NaN";
}

/// A gnuplot string. Between single quotes nothing is special but the quote, which becomes the
/// typographic one: gnuplot does not read a doubled quote at the front. Cleaning leaves no control
/// characters. "]]>" would break the SVG, in which gnuplot does not escape it.
std::string in_quotes(const std::string& text) {
  std::string result = "'";
  for (const char c : answer::cleaned(text)) {
    if (c == '>' && result.ends_with("]]")) result += ' ';
    c == '\'' ? result += "\u2019" : result += c;
  }
  return result + "'";
}

/// One pixel of the canvas is a hundredth of an inch of paper, or two pixels of a PNG.
std::string terminal(const FigureLayout& layout, PictureFormat format) {
  // noenhanced: braces, carets and the like are themselves.
  const std::string rest = "' background rgb 'white'";
  switch (format) {
    case PictureFormat::svg:
      return "set terminal svg size " + number_text(layout.width) + "," +
             number_text(layout.height) + " noenhanced font 'sans-serif," +
             number_text(layout.font) + rest + "\n";
    case PictureFormat::png:
      // A point is a 72nd of an inch, of which it takes 96 pixels to one.
      return "set terminal pngcairo size " + number_text(2.0 * layout.width) + "," +
             number_text(2.0 * layout.height) + " noenhanced font 'sans-serif," +
             number_text(2.0 * 0.75 * layout.font) + rest + " linewidth 2\n";
    case PictureFormat::pdf:
      // 0.72 points a pixel, and gnuplot writes to two thirds of the size given.
      return "set terminal pdfcairo size " + number_text(0.01 * layout.width) + "in," +
             number_text(0.01 * layout.height) + "in noenhanced font 'sans-serif," +
             number_text(0.72 * 1.5 * layout.font) + rest + "\n";
  }
  return {};
}

/// A layout as commands.
class Script {
 public:
  Script(const Figure& figure, const FigureLayout& layout) : figure_(figure), layout_(layout) {}

  std::string frame() const {
    const Box& plot = layout_.plot;
    return "set encoding utf8\nset datafile missing 'NaN'\nunset key\nset border 3 linecolor rgb "
           "'" +
           std::string(k_ink_colour) + "'\nset grid " + (figure_.rows.empty() ? "y" : "x") +
           "tics linetype 1 linewidth 0.8 linecolor rgb '" + k_grid_colour +
           "'\nset lmargin at screen " + across(plot.left) + "\nset rmargin at screen " +
           across(plot.right) + "\nset tmargin at screen " + up(plot.top) +
           "\nset bmargin at screen " + up(plot.bottom) + "\n" +
           axis("x", figure_.x, layout_.x_ticks) + axis("y", figure_.y, layout_.y_ticks);
  }

  std::string levels() const {
    std::string text;
    for (const FigureLevel& level : figure_.levels) {
      const double place = answer::place_on(level.vertical ? figure_.x : figure_.y, level.at);
      if (place < 0.0 || place > 1.0) continue;
      const std::string at = number_text(level.at);
      text += level.vertical
                  ? "set arrow from first " + at + ", graph 0 to first " + at + ", graph 1"
                  : "set arrow from graph 0, first " + at + " to graph 1, first " + at;
      text += std::string(" nohead front linewidth 1.4 dashtype (6,4) linecolor rgb '") +
              k_level_colour + "'\n";
    }
    return text;
  }

  std::string dots() const {
    std::string text;
    for (const FigureMark& mark : figure_.marks) {
      text += "set label '' at first " + number_text(mark.x) + ", first " + number_text(mark.y) +
              " front point pointtype 7 pointsize 0.7 linecolor rgb '" +
              (mark.line == answer::k_no_line ? k_ink_colour : colour_of(Ink::line, mark.line)) +
              "'\n";
    }
    return text;
  }

  std::string placed() const {
    std::string text;
    for (const PlacedCell& cell : layout_.cells) {
      text += "set object rectangle from screen " + at(cell.box.left, cell.box.bottom) +
              " to screen " + at(cell.box.right, cell.box.top) + " fillcolor rgb '" +
              colour_of_cell(cell.shade) + "' fillstyle solid border linecolor rgb '" +
              k_cell_edge_colour + "'\n";
    }
    for (const PlacedBar& bar : layout_.bars) {
      text += "set object rectangle from screen " + at(bar.box.left, bar.box.bottom) +
              " to screen " + at(bar.box.right, bar.box.top) + " fillcolor rgb '" +
              k_bar_colours[bar.kind % k_bar_colours.size()] + "' fillstyle solid noborder\n";
    }
    for (const PlacedStroke& stroke : layout_.strokes) {
      text += "set arrow from screen " + at(stroke.from_x, stroke.from_y) + " to screen " +
              at(stroke.to_x, stroke.to_y) + " nohead front linewidth 1 linecolor rgb '" +
              colour_of(stroke.ink, stroke.line) + "'\n";
    }
    for (const PlacedText& one : layout_.texts) {
      const char* align = one.align == Align::left    ? " left"
                          : one.align == Align::right ? " right"
                                                      : " center";
      text += "set label " + in_quotes(one.text) + " at screen " + at(one.x, one.y) + align +
              " front textcolor rgb '" + colour_of(one.ink, one.line) + "'\n";
    }
    return text;
  }

  std::string plots() const {
    std::string data;
    std::vector<std::string> parts;
    for (std::size_t i = 0; i < figure_.areas.size(); ++i) {
      const std::string name = "area" + std::to_string(i);
      data += block(name, {&figure_.areas[i].x, &figure_.areas[i].y});
      parts.push_back("$" + name + " using 1:2 with filledcurves y1=" + number_text(figure_.y.low) +
                      " fillcolor rgb '" + k_shade_colour +
                      "' fillstyle solid 0.75 noborder notitle");
    }
    for (std::size_t i = 0; i < figure_.lines.size(); ++i) {
      const FigureLine& line = figure_.lines[i];
      const LineStyle& style = k_line_styles[i % answer::k_most_lines];
      const std::string name = "line" + std::to_string(i);
      if (!line.band_low.empty()) {
        data += block(name + "b", {&line.x, &line.band_low, &line.band_high});
        parts.push_back("$" + name + "b using 1:2:3 with filledcurves fillcolor rgb '" +
                        std::string(style.colour) +
                        "' fillstyle transparent solid 0.18 noborder notitle");
      }
      data += block(name, {&line.x, &line.y});
      parts.push_back("$" + name + " using 1:2 with lines linewidth 2.2 dashtype " +
                      std::string(style.dash) + " linecolor rgb '" + style.colour + "' notitle");
    }
    // Objects alone need a plot to stand in.
    if (parts.empty()) parts.emplace_back("NaN notitle");
    std::string text = data + "plot ";
    for (std::size_t i = 0; i < parts.size(); ++i) text += (i == 0 ? "" : ", \\\n     ") + parts[i];
    return text + "\n";
  }

 private:
  std::string across(double x) const { return number_text(x / layout_.width); }
  std::string up(double y) const { return number_text(1.0 - y / layout_.height); }
  std::string at(double x, double y) const { return across(x) + "," + up(y); }

  static std::string axis(const std::string& name, const FigureAxis& axis,
                          const std::vector<double>& ticks) {
    std::string text =
        "set " + name + "range [" + number_text(axis.low) + ":" + number_text(axis.high) + "]\n";
    if (axis.log) text += "set logscale " + name + " 10\n";
    if (ticks.empty()) return text + "unset " + name + "tics\n";
    text += "set " + name + "tics nomirror out scale 0.5 (";
    for (std::size_t i = 0; i < ticks.size(); ++i) {
      text += std::string(i == 0 ? "" : ", ") + "'' " + number_text(ticks[i]);
    }
    return text + ")\n";
  }

  static std::string block(const std::string& name,
                           const std::vector<const std::vector<double>*>& columns) {
    std::string text = "$" + name + " << END_OF_DATA\n";
    for (std::size_t i = 0; i < columns[0]->size(); ++i) {
      for (std::size_t c = 0; c < columns.size(); ++c) {
        text += (c == 0 ? "" : " ") + number_text((*columns[c])[i]);
      }
      text += "\n";
    }
    return text + "END_OF_DATA\n";
  }

  const Figure& figure_;
  const FigureLayout& layout_;
};

}  // namespace

std::string gnuplot_script(const Figure& figure, PictureFormat format) {
  const FigureLayout layout = lay_out(figure);
  const Script script(figure, layout);
  return terminal(layout, format) + script.frame() + script.levels() + script.dots() +
         script.placed() + script.plots();
}

}  // namespace blendrisk::render
