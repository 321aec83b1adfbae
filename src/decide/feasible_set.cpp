#include "decide/feasible_set.hpp"

#include <algorithm>
#include <boost/math/tools/minima.hpp>
#include <cmath>

#include "numeric/solve.hpp"

namespace blendrisk::decide {
namespace {

/// A least chance this many times the risk on the grid may still dip to it between two points.
constexpr double k_may_dip = 1e3;
/// Chances that differ from the risk by less are looked at with more points.
constexpr double k_near = 0.3;     // of the natural logarithm, on the grid
constexpr double k_nearer = 0.02;  // where a crossing is solved
/// A chance that equals the risk but for rounding is within it.
constexpr double k_log_rounding = 1e-9;

struct Point {
  double x;
  tank::Sides sides;

  double chance() const { return sides.outside(); }
};

bool rather_below(const Point& point) {
  return point.sides.below > point.sides.above;
}

class RangeSearch {
 public:
  RangeSearch(tank::CommonRandomNumbers& points, const Put& put, double range, double risk,
              const SearchSize& size)
      : points_(points), put_(put), tolerance_(1e-8 * range), risk_(risk), size_(size) {
    points_.resize(size.grid);
  }

  /// A point of the grid: under a tilt fitted there, and with more points where it is a near thing.
  Point looked_at(double x) {
    Point point = fitted(x);
    const auto near = [&](double reach) { return std::abs(log_excess(point.chance())) < reach; };
    if (near(k_near)) {
      points_.resize(size_.crossing);
      point = fitted(x);
      if (size_.last && near(k_nearer)) {
        points_.resize(*size_.last);
        point = fitted(x);
      }
      points_.resize(size_.grid);
    }
    return point;
  }

  bool within(const Point& point) const { return log_excess(point.chance()) <= 0.0; }

  /// The crossing between a point within the risk and one beyond it, to the side within.
  double crossing(const Point& good, const Point& bad) {
    points_.resize(size_.crossing);
    fitted(0.5 * (good.x + bad.x));
    double x = solved(good.x, bad.x);
    if (size_.last) {
      // More points move it by little: a narrow bracket, under a tilt fitted there.
      points_.resize(*size_.last);
      fitted(x);
      const double reach = 0.02 * (bad.x - good.x);
      const bool at_good = std::abs(x - good.x) <= std::abs(reach);
      const bool at_bad = std::abs(x - bad.x) <= std::abs(reach);
      x = solved(at_good ? good.x : x - reach, at_bad ? bad.x : x + reach);
    }
    points_.resize(size_.grid);
    return x;
  }

  /// The least between two points.
  Point dip(const Point& a, const Point& b) {
    fitted(0.5 * (a.x + b.x));
    std::uintmax_t steps = 40;
    const auto least = boost::math::tools::brent_find_minima(
        [this](double x) { return log_excess(at(x).chance()); }, a.x, b.x, 20, steps);
    return looked_at(least.first);
  }

  /// Between a point that misses rather below and one that misses rather above: where both are as
  /// likely, or neither happens. The least is there or near.
  Point balance(Point a, Point b) {
    for (int step = 0; step < 40 && std::abs(b.x - a.x) > tolerance_; ++step) {
      Point middle = fitted(0.5 * (a.x + b.x));
      if (middle.sides.below == middle.sides.above) return looked_at(middle.x);
      const bool as_a = rather_below(middle) == rather_below(a);
      (as_a ? a : b) = middle;
    }
    return looked_at(0.5 * (a.x + b.x));
  }

 private:
  Point fitted(double x) {
    put_(points_.scenario(), x);
    points_.fit();
    return {x, points_.sides()};
  }
  Point at(double x) {
    put_(points_.scenario(), x);
    return {x, points_.sides()};
  }

  /// Where the chance on the points as they are crosses the risk; the end that is within it. Both
  /// within: the end towards bad; both beyond: that towards good.
  double solved(double good, double bad) {
    const auto excess = [this](double x) { return log_excess(at(x).chance()); };
    const double at_good = excess(good);
    const double at_bad = excess(bad);
    if (at_bad <= 0.0) return bad;
    if (at_good > 0.0) return good;
    const auto close = [this](double x, double y) { return std::abs(x - y) < tolerance_; };
    const numeric::Ends ends = good < bad ? numeric::Ends{good, bad, at_good, at_bad}
                                          : numeric::Ends{bad, good, at_bad, at_good};
    const numeric::Ends narrow = numeric::root(excess, ends, close, 100);
    return excess(narrow.low) <= 0.0 ? narrow.low : narrow.high;
  }
  double log_excess(double chance) const {
    return std::log(std::max(chance, 1e-300)) - std::log(risk_) - k_log_rounding;
  }

  tank::CommonRandomNumbers& points_;
  const Put& put_;
  double tolerance_, risk_;
  const SearchSize& size_;
};

/// Points that the grid steps over: where misses below turn to misses above, and dips.
void add_between(RangeSearch& search, std::vector<Point>& grid, double risk) {
  const auto add = [&grid](const Point& point) {
    const auto place = std::upper_bound(grid.begin(), grid.end(), point.x,
                                        [](double x, const Point& other) { return x < other.x; });
    grid.insert(place, point);
  };
  const std::vector<Point> coarse = grid;
  for (std::size_t i = 0; i + 1 < coarse.size(); ++i) {
    const Point& a = coarse[i];
    const Point& b = coarse[i + 1];
    if (search.within(a) || search.within(b)) continue;
    if (rather_below(a) != rather_below(b)) add(search.balance(a, b));
  }
  for (std::size_t i = 1; i + 1 < coarse.size(); ++i) {
    const double here = coarse[i].chance();
    if (search.within(coarse[i]) || here > k_may_dip * risk) continue;
    if (here > coarse[i - 1].chance() || here > coarse[i + 1].chance()) continue;
    const Point least = search.dip(coarse[i - 1], coarse[i + 1]);
    if (least.chance() < here) add(least);
  }
}

}  // namespace

Acceptable acceptable(tank::CommonRandomNumbers& points, const Put& put, double low, double high,
                      double risk, const SearchSize& size) {
  constexpr int cells = 32;
  RangeSearch search(points, put, high - low, risk, size);
  std::vector<Point> grid;
  grid.reserve(64);
  for (int i = 0; i <= cells; ++i) {
    grid.push_back(search.looked_at(low + (high - low) * i / cells));
  }
  add_between(search, grid, risk);
  Acceptable result;
  double least = grid.front().chance();
  result.least_at = grid.front().x;
  for (std::size_t i = 0; i < grid.size(); ++i) {
    if (grid[i].chance() < least) {
      least = grid[i].chance();
      result.least_at = grid[i].x;
    }
    if (!search.within(grid[i])) continue;
    if (i == 0 || !search.within(grid[i - 1])) {
      result.spans.push_back({i == 0 ? low : search.crossing(grid[i], grid[i - 1]), high});
    }
    if (i + 1 < grid.size() && !search.within(grid[i + 1])) {
      result.spans.back().high = search.crossing(grid[i], grid[i + 1]);
    }
  }
  return result;
}

}  // namespace blendrisk::decide
