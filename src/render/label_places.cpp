#include "render/label_places.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "render/text_size.hpp"

namespace blendrisk::render {
namespace {

constexpr double k_from_level = 3.0;  ///< pixels between a level and its label
constexpr double k_from_edge = 8.0;
constexpr double k_from_mark = 6.0;
constexpr double k_apart = 4.0;  ///< between labels side by side
constexpr int k_steps = 16;

/// Whether a stroke passes through a box (Liang and Barsky, ACM Transactions on Graphics 3, 1984,
/// from memory).
bool passes(const PlacedStroke& stroke, const Box& box) {
  const double dx = stroke.to_x - stroke.from_x;
  const double dy = stroke.to_y - stroke.from_y;
  double from = 0.0;
  double to = 1.0;
  const auto clip = [&](double step, double room) {
    if (step == 0.0) return room >= 0.0;
    const double at = room / step;
    step < 0.0 ? from = std::max(from, at) : to = std::min(to, at);
    return from <= to;
  };
  return clip(-dx, stroke.from_x - box.left) && clip(dx, box.right - stroke.from_x) &&
         clip(-dy, stroke.from_y - box.top) && clip(dy, box.bottom - stroke.from_y);
}

/// From a point to the block at a corner.
double distance(const Corner& corner, const TextBlock& block, double x, double y) {
  const double right = std::max({corner.left - x, 0.0, x - corner.left - block.width});
  const double down = std::max({corner.top - y, 0.0, y - corner.top - block.height});
  return std::hypot(right, down);
}

/// 0, n, 1, n − 1, ...: the ends first.
int from_the_ends(int i, int n) {
  return i % 2 == 0 ? i / 2 : n - i / 2;
}

}  // namespace

TextBlock text_block(const std::string& text, double most, double font) {
  TextBlock block;
  block.lines = lines_within(text, most / font);
  block.width = widest(block.lines) * font;
  block.height = static_cast<double>(block.lines.size()) * k_line_height * font;
  return block;
}

LabelPlaces::LabelPlaces(const Figure& figure, const Box& plot) : figure_(figure), plot_(plot) {
  for (const FigureLine& line : figure.lines) {
    for (std::size_t i = 0; i + 1 < line.x.size(); ++i) {
      if (!std::isfinite(line.y[i]) || !std::isfinite(line.y[i + 1])) continue;
      curves_.push_back(
          {x_of(line.x[i]), y_of(line.y[i]), x_of(line.x[i + 1]), y_of(line.y[i + 1])});
    }
  }
  for (const FigureLevel& level : figure.levels) {
    if (level.vertical) {
      levels_.push_back({x_of(level.at), plot.top, x_of(level.at), plot.bottom});
    } else {
      levels_.push_back({plot.left, y_of(level.at), plot.right, y_of(level.at)});
    }
  }
  for (const FigureMark& mark : figure.marks) {
    const double x = x_of(mark.x);
    const double y = y_of(mark.y);
    taken_.push_back({x - 2.0, y - 4.0, x + 2.0, y + 4.0});
  }
}

double LabelPlaces::x_of(double value) const {
  return plot_.left + answer::place_on(figure_.x, value) * (plot_.right - plot_.left);
}

double LabelPlaces::y_of(double value) const {
  // Far off the axis is as good as infinitely far, and can be reckoned with.
  return plot_.bottom -
         std::clamp(answer::place_on(figure_.y, value), -10.0, 10.0) * (plot_.bottom - plot_.top);
}

std::vector<Corner> LabelPlaces::beside(const FigureLevel& level, const TextBlock& block) const {
  std::vector<Corner> corners;
  if (level.vertical) {
    const double x = x_of(level.at);
    const double right = x + k_from_level + 2.0;
    const double left = x - k_from_level - 2.0 - block.width;
    const bool left_first = answer::place_on(figure_.x, level.at) > 0.6;
    const double room = plot_.bottom - plot_.top - block.height;
    for (int i = 0; i <= k_steps; ++i) {
      const double top = plot_.top + room * i / k_steps;
      const double cost = 0.05 * i;
      corners.push_back({left_first ? left : right, top, cost});
      corners.push_back({left_first ? right : left, top, cost + 0.1});
    }
    return corners;
  }
  const double y = y_of(level.at);
  const double room = plot_.right - plot_.left - block.width - 2.0 * k_from_edge;
  for (int i = 0; i <= k_steps; ++i) {
    const double left = plot_.left + k_from_edge + room * from_the_ends(i, k_steps) / k_steps;
    const double cost = 0.05 * i;
    corners.push_back({left, y - k_from_level - block.height, cost});
    corners.push_back({left, y + k_from_level, cost + 0.02});
  }
  return corners;
}

std::vector<Corner> LabelPlaces::around(const FigureMark& mark, const TextBlock& block) const {
  const double x = x_of(mark.x);
  const double y = y_of(mark.y);
  std::vector<Corner> corners;
  // How much of the block stands left of the mark, and whether below it, above it or beside it.
  struct Way {
    double left, down;
  };
  constexpr std::array<Way, 14> k_ways{{{0, 1},
                                        {0, -1},
                                        {1, 1},
                                        {1, -1},
                                        {0.15, 1},
                                        {0.15, -1},
                                        {0.5, 1},
                                        {0.5, -1},
                                        {0.85, 1},
                                        {0.85, -1},
                                        {0.3, 1},
                                        {0.3, -1},
                                        {0, 0},
                                        {1, 0}}};
  for (const double off : {1.0, 2.0, 3.5, 5.0}) {
    for (std::size_t way = 0; way < k_ways.size(); ++way) {
      const auto [left, down] = k_ways[way];
      const double aside = left == 0.0 ? off * k_from_mark : left == 1.0 ? -off * k_from_mark : 0.0;
      const Corner corner{x - left * block.width + aside,
                          y + down * (off * k_from_mark - 2.0) + 0.5 * (down - 1.0) * block.height,
                          2.0 * (off - 1.0) + 0.05 * static_cast<double>(way)};
      // What stands nearer to another mark would be taken for its label.
      const bool astray =
          std::any_of(figure_.marks.begin(), figure_.marks.end(), [&](const FigureMark& other) {
            return distance(corner, block, x_of(other.x), y_of(other.y)) <
                   distance(corner, block, x, y) - 1e-6;
          });
      if (!astray) corners.push_back(corner);
    }
  }
  return corners;
}

double LabelPlaces::hidden(const Box& box) const {
  double cost = 0.0;
  for (const PlacedStroke& stroke : levels_) cost += passes(stroke, box) ? 2.0 : 0.0;
  double curves = 0.0;
  for (const PlacedStroke& stroke : curves_) curves += passes(stroke, box) ? 1.0 : 0.0;
  return cost + std::min(curves, 3.0);
}

std::optional<LabelPlaces::Place> LabelPlaces::best(const std::vector<Corner>& corners,
                                                    const TextBlock& block) const {
  std::optional<Place> best;
  for (const Corner& corner : corners) {
    const Box box{corner.left, corner.top, corner.left + block.width, corner.top + block.height};
    const bool inside = box.left >= plot_.left + 1.0 && box.right <= plot_.right &&
                        box.top >= plot_.top - 0.1 && box.bottom <= plot_.bottom + 0.1;
    const bool free = std::none_of(taken_.begin(), taken_.end(), [&](const Box& other) {
      const Box wider{other.left - k_apart, other.top, other.right + k_apart, other.bottom};
      return overlap(box, wider);
    });
    if (!inside || !free) continue;
    const double cost = hidden(box) + corner.cost;
    if (!best || cost < best->cost) best = Place{box, cost};
  }
  return best;
}

}  // namespace blendrisk::render
