#pragma once

#include <vector>

#include "line/line_samples.hpp"
#include "line/sensor_error.hpp"

/// How often the display shows which reading at a look.
namespace blendrisk::line {

/// By reading: share of cases that show it, and of those among them whose injectors get fuel
/// outside the limit at that look.
struct ShownReadings {
  std::vector<double> all, outside;
};

/// Whether the injectors of case i get fuel outside the limit once so much was burned.
bool outside_at(const ArrivalCases& cases, std::size_t i, double burn_l);

/// Readings laid on a grid, the sensor's error integrated over.
class ReadingGrid {
 public:
  /// @param first  the first reading asked for, a multiple of `step`
  /// @param step   of the display; negative for readings that go down from the first
  /// @param count  how many of them
  ReadingGrid(const Line& line, double first, double step, std::size_t count);

  ShownReadings shown(const ArrivalCases& cases, std::size_t look, double burn_l) const;

 private:
  double sign_, step_, first_;
  std::size_t count_;
  bool bias_alone_;
  /// By the distance of a reading from the content, in parts of the step: the chance that the
  /// display rounds to it.
  ErrorMasses rounded_;
};

}  // namespace blendrisk::line
