#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "tank/common_random_numbers.hpp"

/// The chance of landing outside on common points, as a function of one amount or reading.
namespace blendrisk::decide {

/// Points of each of 16 replicates, see estimate::Size: on the grid and for a crossing, and to go
/// over a crossing once more.
struct SearchSize {
  unsigned grid = 4;
  unsigned crossing = 6;              ///< some tenths of a percent of the chance
  std::optional<unsigned> last = 11;  ///< the most, some thousandths; none for tables
};

/// Puts a value into the scenario.
using Put = std::function<void(scenario::Scenario&, double)>;

/// The chance at one value.
struct CurvePoint {
  double x;
  tank::Sides sides;
  bool whole;                  ///< with what measured inputs bear, which elsewhere does not decide
  bool near = false;           ///< to the risk: more points would tell on which side of it
  std::uint64_t mixtures = 0;  ///< of points: where they are the same, so are the points

  double chance() const { return sides.outside(); }
};

/// Misses below are likelier than above.
bool rather_below(const CurvePoint& point);

/// Tries values, one after the other.
class ChanceCurve {
 public:
  /// @param range  of the values  @param step  that an answer is shown in
  /// @param points, put, size  have to outlive it
  ChanceCurve(tank::CommonRandomNumbers& points, const Put& put, double range, double step,
              double risk, const SearchSize& size);

  /// A point of the grid, with as few points as tell its side of the risk; under a mixture fitted
  /// there where it is not clear, and on those of a crossing where it is a near thing.
  CurvePoint looked_at(double x);

  /// One that is near, with more points until its side is told, or the most.
  CurvePoint told(const CurvePoint& near);

  /// The sides of some, as a run of neighbours on the same points, once those of both ends are
  /// told: what more points change is the error of the fewer, which all of them share. Between two
  /// that lie on either side the middle one is told, and so on.
  void tell(std::vector<CurvePoint>& grid, std::size_t first, std::size_t last);

  /// With what measured inputs bear.
  CurvePoint completed(CurvePoint point);

  bool within(const CurvePoint& point) const { return log_excess(point.chance()) <= 0.0; }

  /// The crossing between a point within the risk and one beyond it, to the side within.
  double crossing(const CurvePoint& good, const CurvePoint& bad);

  /// The least between two points. What measured inputs bear hardly changes in between, and is left
  /// out where the chance is beyond the risk without.
  CurvePoint dip(const CurvePoint& a, const CurvePoint& b);

  /// Between a point that misses rather below and one that misses rather above: where both are as
  /// likely, or neither happens. The least is there or near.
  CurvePoint balance(const CurvePoint& a, const CurvePoint& b);

 private:
  /// By its value and slope at x.
  struct Line {
    double x, value, slope;
  };

  void fit(double x);
  tank::Sides fitted(double x);
  CurvePoint decided(double x, const tank::Sides& sides);
  CurvePoint corrected(const CurvePoint& point, double factor);
  void tell_between(std::vector<CurvePoint>& grid, const std::vector<CurvePoint>& few,
                    std::size_t first, std::size_t last);
  double excess(double x) { return log_excess(sides(x).outside()); }
  tank::Sides sides(double x);
  double located(double good, double bad);
  double solved(double good, double bad, double enough);
  double refined(double x, double good, double bad);
  std::optional<double> near_root(const Line& tangent, double good, double bad, double enough);
  double log_excess(double chance) const;

  tank::CommonRandomNumbers& points_;
  const Put& put_;
  double tolerance_, step_, risk_;
  bool measured_decide_;
  bool whole_ = true;  ///< a crossing is looked for with what measured inputs bear
  const SearchSize& size_;
};

}  // namespace blendrisk::decide
