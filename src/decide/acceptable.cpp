#include "decide/acceptable.hpp"

#include <algorithm>
#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

namespace blendrisk::decide {
namespace {

/// A least chance this many times the risk on the grid may still dip to it between two points.
constexpr double kMayDip = 1e3;

struct Point {
  double x, chance;
};

class Search {
 public:
  Search(estimate::CommonPoints& points, const Put& put, double range, double risk)
      : points_(points), put_(put), tolerance_(1e-8 * range), risk_(risk) {}

  /// Under a lean fitted there.
  Point fitted(double x) {
    put_(points_.scenario(), x);
    points_.fit();
    return {x, points_.outside()};
  }

  bool within(const Point& point) const { return point.chance <= risk_; }

  /// The crossing between a point within the risk and one beyond it.
  double crossing(const Point& a, const Point& b, const Effort& effort) {
    points_.resize(effort.crossing);
    fitted(0.5 * (a.x + b.x));
    double x = solved(std::min(a.x, b.x), std::max(a.x, b.x));
    if (effort.last) {
      // More points move it by little: a narrow bracket, under a lean fitted there.
      points_.resize(*effort.last);
      fitted(x);
      const double reach = 0.02 * std::abs(b.x - a.x);
      x = solved(std::max(std::min(a.x, b.x), x - reach), std::min(std::max(a.x, b.x), x + reach));
    }
    points_.resize(effort.grid);
    return x;
  }

  /// The least between two points.
  Point dip(const Point& a, const Point& b) {
    fitted(0.5 * (a.x + b.x));
    std::uintmax_t steps = 40;
    const auto least = boost::math::tools::brent_find_minima(
        [this](double x) { return log_excess(at(x)); }, a.x, b.x, 20, steps);
    return {least.first, at(least.first)};
  }

 private:
  double at(double x) {
    put_(points_.scenario(), x);
    return points_.outside();
  }
  /// Where the chance on the points as they are crosses the risk; the end that is within it.
  double solved(double low, double high) {
    const auto excess = [this](double x) { return log_excess(at(x)); };
    const double at_low = excess(low);
    const double at_high = excess(high);
    // Under this lean both ends may lie on one side: the crossing is at the nearer one.
    if (at_low * at_high >= 0.0) return std::abs(at_low) < std::abs(at_high) ? low : high;
    std::uintmax_t steps = 100;
    const auto close = [this](double x, double y) { return std::abs(x - y) < tolerance_; };
    const auto bracket =
        boost::math::tools::toms748_solve(excess, low, high, at_low, at_high, close, steps);
    return log_excess(at(bracket.first)) <= 0.0 ? bracket.first : bracket.second;
  }
  double log_excess(double chance) const {
    return std::log(std::max(chance, 1e-300)) - std::log(risk_);
  }

  estimate::CommonPoints& points_;
  const Put& put_;
  double tolerance_, risk_;
};

}  // namespace

Acceptable acceptable(estimate::CommonPoints& points, const Put& put, double low, double high,
                      double risk, const Effort& effort) {
  constexpr int cells = 32;
  Search search(points, put, high - low, risk);
  points.resize(effort.grid);
  std::vector<Point> grid;
  grid.reserve(static_cast<std::size_t>(cells) + 3);
  for (int i = 0; i <= cells; ++i) {
    grid.push_back(search.fitted(low + (high - low) * i / cells));
  }
  // A dip that the grid steps over: one more point in it.
  for (std::size_t i = 1; i + 1 < grid.size(); ++i) {
    const double here = grid[i].chance;
    if (here <= risk || here > kMayDip * risk) continue;
    if (here > grid[i - 1].chance || here > grid[i + 1].chance) continue;
    const Point least = search.dip(grid[i - 1], grid[i + 1]);
    if (least.chance < here) {
      const auto place = std::upper_bound(grid.begin(), grid.end(), least.x,
                                          [](double x, const Point& p) { return x < p.x; });
      grid.insert(place, least);
      ++i;
    }
  }
  Acceptable result;
  for (std::size_t i = 0; i < grid.size(); ++i) {
    if (grid[i].chance < result.least_chance) {
      result.least_chance = grid[i].chance;
      result.least_at = grid[i].x;
    }
    if (!search.within(grid[i])) continue;
    const bool opens = i == 0 || !search.within(grid[i - 1]);
    if (opens) {
      const double from = i == 0 ? low : search.crossing(grid[i], grid[i - 1], effort);
      result.spans.push_back({from, high});
    }
    if (i + 1 < grid.size() && !search.within(grid[i + 1])) {
      result.spans.back().high = search.crossing(grid[i], grid[i + 1], effort);
    }
  }
  // The grid's few points are for finding, not for telling.
  if (result.spans.empty() && effort.last) {
    points.resize(effort.crossing);
    result.least_chance = search.fitted(result.least_at).chance;
  }
  return result;
}

}  // namespace blendrisk::decide
