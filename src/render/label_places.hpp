#pragma once

#include <optional>

#include "render/figure_layout.hpp"

/// Free places for labels among curves and other labels.
namespace blendrisk::render {

/// Lines of one label.
struct TextBlock {
  std::vector<std::string> lines;
  double width, height;  ///< [px]
};

/// @param most  widest line [px]
TextBlock text_block(const std::string& text, double most, double font);

/// Where its upper left corner may stand, and how little it is liked there.
struct Corner {
  double left, top, cost;
};

class LabelPlaces {
 public:
  LabelPlaces(const Figure& figure, const Box& plot);

  /// The corners of a label of a level, within the plot.
  std::vector<Corner> beside(const FigureLevel& level, const TextBlock& block) const;
  /// The corners of a label of a mark, nearer ones first.
  std::vector<Corner> around(const FigureMark& mark, const TextBlock& block) const;

  struct Place {
    Box box;
    double cost;
  };
  /// The free corner of the least cost, what it hides of the curves in it; none: nothing.
  std::optional<Place> best(const std::vector<Corner>& corners, const TextBlock& block) const;
  /// Nothing else will stand there.
  void take(const Box& box) { taken_.push_back(box); }

  double x_of(double value) const;
  double y_of(double value) const;

 private:
  double hidden(const Box& box) const;

  const Figure& figure_;
  Box plot_;
  std::vector<PlacedStroke> curves_, levels_;
  std::vector<Box> taken_;
};

}  // namespace blendrisk::render
