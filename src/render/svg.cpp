#include "render/svg.hpp"

#include <algorithm>
#include <cmath>

#include "render/figure_colours.hpp"
#include "render/page.hpp"

namespace blendrisk::render {
namespace {

constexpr double k_tick_px = 5.0;

/// To a hundredth of a pixel.
std::string px(double value) {
  return answer::exact_text(std::round(100.0 * value) / 100.0);
}

std::string set(const char* name, const std::string& value) {
  return std::string(" ") + name + "=\"" + value + "\"";
}

std::string stroke(const char* colour, double width) {
  return set("stroke", colour) + set("stroke-width", px(width));
}

/// "(14,5)" as SVG has it; nothing for a line that is whole.
std::string dashes(const std::string& dash) {
  return dash.front() == '(' ? set("stroke-dasharray", dash.substr(1, dash.size() - 2)) : "";
}

class Drawing {
 public:
  Drawing(const Figure& figure, const FigureLayout& layout) : figure_(figure), layout_(layout) {}

  std::string frame() const {
    const Box& plot = layout_.plot;
    const bool bars = !figure_.rows.empty();
    std::string grid, ticks;
    for (const double at : layout_.x_ticks) {
      const double x = across(at);
      if (bars) grid += segment(x, plot.top, x, plot.bottom);
      ticks += segment(x, plot.bottom, x, plot.bottom + k_tick_px);
    }
    for (const double at : layout_.y_ticks) {
      const double y = up(at);
      if (!bars) grid += segment(plot.left, y, plot.right, y);
      ticks += segment(plot.left - k_tick_px, y, plot.left, y);
    }
    return "<g" + stroke(k_grid_colour, 0.8) + ">" + grid + "</g>\n<g" + stroke(k_ink_colour, 1.0) +
           ">" + ticks + segment(plot.left, plot.top, plot.left, plot.bottom) +
           segment(plot.left, plot.bottom, plot.right, plot.bottom) + "</g>\n";
  }

  std::string areas() const {
    std::string text;
    for (const FigureArea& area : figure_.areas) {
      if (area.x.empty()) continue;
      std::string points = point(area.x.front(), figure_.y.low);
      for (std::size_t i = 0; i < area.x.size(); ++i) points += " " + point(area.x[i], area.y[i]);
      text += polygon(points + " " + point(area.x.back(), figure_.y.low), k_shade_colour, 0.75);
    }
    return text;
  }

  std::string lines() const {
    std::string text;
    for (std::size_t i = 0; i < figure_.lines.size(); ++i) {
      const FigureLine& line = figure_.lines[i];
      const LineStyle& style = k_line_styles[i % answer::k_most_lines];
      text += band(line, style.colour);
      std::string path;
      bool drawn = false;
      for (std::size_t k = 0; k < line.x.size(); ++k) {
        const bool there = std::isfinite(line.x[k]) && std::isfinite(line.y[k]);
        if (there) path += (drawn ? "L" : "M") + point(line.x[k], line.y[k]);
        drawn = there;
      }
      text += "<path fill=\"none\"" + stroke(style.colour, 2.2) + dashes(style.dash) +
              set("d", path) + "/>\n";
    }
    return text;
  }

  std::string levels() const {
    std::string text;
    for (const FigureLevel& level : figure_.levels) {
      const double place = answer::place_on(level.vertical ? figure_.x : figure_.y, level.at);
      if (place < 0.0 || place > 1.0) continue;
      const Box& plot = layout_.plot;
      const double x = across(level.at);
      const double y = up(level.at);
      text += level.vertical ? segment(x, plot.top, x, plot.bottom)
                             : segment(plot.left, y, plot.right, y);
    }
    return "<g" + stroke(k_level_colour, 1.4) + dashes("(6,4)") + ">" + text + "</g>\n";
  }

  std::string dots() const {
    std::string text;
    for (const FigureMark& mark : figure_.marks) {
      text += "<circle r=\"4\"" + set("cx", px(across(mark.x))) + set("cy", px(up(mark.y))) +
              set("fill",
                  mark.line == answer::k_no_line ? k_ink_colour : colour_of(Ink::line, mark.line)) +
              "/>\n";
    }
    return text;
  }

  std::string placed() const {
    std::string text;
    for (const PlacedCell& cell : layout_.cells) {
      text += "<rect" + set("x", px(cell.box.left)) + set("y", px(cell.box.top)) +
              set("width", px(cell.box.right - cell.box.left)) +
              set("height", px(cell.box.bottom - cell.box.top)) +
              set("fill", colour_of_cell(cell.shade)) + stroke(k_cell_edge_colour, 1.0) + "/>\n";
    }
    for (const PlacedBar& bar : layout_.bars) {
      text += "<rect" + set("x", px(bar.box.left)) + set("y", px(bar.box.top)) +
              set("width", px(bar.box.right - bar.box.left)) +
              set("height", px(bar.box.bottom - bar.box.top)) +
              set("fill", k_bar_colours[bar.kind % k_bar_colours.size()]) + "/>\n";
    }
    for (const PlacedStroke& one : layout_.strokes) {
      text += "<g" + stroke(colour_of(one.ink, one.line), 1.0) + ">" +
              segment(one.from_x, one.from_y, one.to_x, one.to_y) + "</g>\n";
    }
    for (const PlacedText& one : layout_.texts) {
      const char* anchor = one.align == Align::left    ? "start"
                           : one.align == Align::right ? "end"
                                                       : "middle";
      text += "<text dy=\".35em\"" + set("x", px(one.x)) + set("y", px(one.y)) +
              set("text-anchor", anchor) + set("fill", colour_of(one.ink, one.line)) + ">" +
              html(one.text) + "</text>\n";
    }
    return text;
  }

 private:
  /// Far off the axis is as good as farther: a chance of 0 has no logarithm.
  static double place(const FigureAxis& axis, double value) {
    return std::clamp(answer::place_on(axis, value), -1.0, 2.0);
  }
  double across(double x) const {
    return layout_.plot.left + place(figure_.x, x) * (layout_.plot.right - layout_.plot.left);
  }
  double up(double y) const {
    return layout_.plot.bottom - place(figure_.y, y) * (layout_.plot.bottom - layout_.plot.top);
  }
  std::string point(double x, double y) const { return px(across(x)) + "," + px(up(y)); }

  static std::string segment(double x1, double y1, double x2, double y2) {
    return "<line" + set("x1", px(x1)) + set("y1", px(y1)) + set("x2", px(x2)) + set("y2", px(y2)) +
           "/>";
  }

  static std::string polygon(const std::string& points, const char* colour, double opacity) {
    return "<polygon" + set("fill", colour) + set("fill-opacity", px(opacity)) +
           set("points", points) + "/>\n";
  }

  std::string band(const FigureLine& line, const char* colour) const {
    std::string points;
    const std::size_t size = line.band_low.size();
    for (std::size_t k = 0; k < 2 * size; ++k) {
      const std::size_t i = k < size ? k : 2 * size - 1 - k;
      const double y = k < size ? line.band_low[i] : line.band_high[i];
      if (std::isfinite(y)) points += (points.empty() ? "" : " ") + point(line.x[i], y);
    }
    return points.empty() ? "" : polygon(points, colour, 0.18);
  }

  const Figure& figure_;
  const FigureLayout& layout_;
};

}  // namespace

std::string svg(const Figure& figure) {
  const FigureLayout layout = lay_out(figure);
  const Drawing drawing(figure, layout);
  const Box& plot = layout.plot;
  return "<svg xmlns=\"http://www.w3.org/2000/svg\"" + set("width", px(layout.width)) +
         set("height", px(layout.height)) +
         set("viewBox", "0 0 " + px(layout.width) + " " + px(layout.height)) +
         set("font-size", px(layout.font)) + " font-family=\"sans-serif\">\n" +
         "<clipPath id=\"axes\"><rect" + set("x", px(plot.left)) + set("y", px(plot.top)) +
         set("width", px(plot.right - plot.left)) + set("height", px(plot.bottom - plot.top)) +
         "/></clipPath>\n<rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n" +
         drawing.frame() + "<g clip-path=\"url(#axes)\">\n" + drawing.areas() + drawing.lines() +
         "</g>\n" + drawing.levels() + drawing.dots() + drawing.placed() + "</svg>\n";
}

}  // namespace blendrisk::render
