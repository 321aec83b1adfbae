#include "decide/feasible_set.hpp"

#include <algorithm>
#include <boost/math/tools/minima.hpp>
#include <cmath>

#include "numeric/solve.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::decide {
namespace {

/// A least chance on the grid may dip to the risk between two points where its normal score lies
/// within so many times its last fall, and this, of that of the risk.
constexpr double k_falls = 2.0;
constexpr double k_may_dip = 0.5;
constexpr double k_farthest_score = 8.0;
constexpr int k_dip_bits = 14;
/// Of a display's step, to which a crossing is known: by its points, and as solved.
constexpr double k_of_step = 0.05;
constexpr double k_solved_of_step = 0.01;
/// The error of a mean of n points falls at least as n to minus this.
constexpr double k_rate = 0.75;
/// Chances that differ from the risk by less are looked at with more points.
constexpr double k_near = 0.3;     // of the natural logarithm, on the grid
constexpr double k_nearer = 0.02;  // where a crossing is solved
/// A chance that equals the risk but for rounding is within it.
constexpr double k_log_rounding = 1e-9;

struct Point {
  double x;
  tank::Sides sides;
  bool whole;  ///< with what measured inputs bear, which elsewhere does not decide

  double chance() const { return sides.outside(); }
};

bool rather_below(const Point& point) {
  return point.sides.below > point.sides.above;
}

class RangeSearch {
 public:
  RangeSearch(tank::CommonRandomNumbers& points, const Put& put, double range, double step,
              double risk, const SearchSize& size)
      : points_(points),
        put_(put),
        tolerance_(1e-8 * range),
        step_(step),
        risk_(risk),
        measured_decide_(points.most_least() > risk),
        size_(size) {
    points_.resize(size.grid);
  }

  /// A point of the grid: with as few points as tell its side of the risk; where it is not clear,
  /// under a tilt fitted there, and with more where it is a near thing.
  Point looked_at(double x) {
    put_(points_.scenario(), x);
    if (const auto clear = points_.clear_sides(risk_)) return decided(x, *clear);
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

  /// With what measured inputs bear.
  Point completed(Point point) {
    if (point.whole) return point;
    put_(points_.scenario(), point.x);
    point.sides.least = points_.least(point.chance());
    point.whole = true;
    return point;
  }

  bool within(const Point& point) const { return log_excess(point.chance()) <= 0.0; }

  /// The crossing between a point within the risk and one beyond it, to the side within.
  double crossing(const Point& good, const Point& bad) {
    points_.resize(size_.crossing);
    fit(0.5 * (good.x + bad.x));
    double x = solved(good.x, bad.x);
    if (size_.last) x = refined(x, good.x, bad.x);
    points_.resize(size_.grid);
    return x;
  }

  /// The least between two points. What measured inputs bear hardly changes in between, and is left
  /// out where the chance is beyond the risk without.
  Point dip(const Point& a, const Point& b) {
    put_(points_.scenario(), 0.5 * (a.x + b.x));
    points_.fit_roughly();
    const auto excess = [this](double x) {
      put_(points_.scenario(), x);
      return log_excess(decided(x, points_.own_sides()).chance());
    };
    std::uintmax_t steps = 40;
    const auto least = boost::math::tools::brent_find_minima(excess, a.x, b.x, k_dip_bits, steps);
    return looked_at(least.first);
  }

  /// Between a point that misses rather below and one that misses rather above: where both are as
  /// likely, or neither happens. The least is there or near.
  Point balance(const Point& a, const Point& b) {
    const double sign = rather_below(a) ? -1.0 : 1.0;
    const auto lean = [sign](const tank::Sides& sides) {
      return sign *
             (std::log(std::max(sides.below, 1e-300)) - std::log(std::max(sides.above, 1e-300)));
    };
    const auto at = [&](double x) {
      put_(points_.scenario(), x);
      points_.fit_roughly();
      return lean(points_.own_sides());
    };
    const auto close = [this](double x, double y) { return std::abs(x - y) < tolerance_; };
    const numeric::Ends narrow =
        numeric::root(at, {a.x, b.x, lean(a.sides), lean(b.sides)}, close, 40);
    return looked_at(narrow.middle());
  }

 private:
  void fit(double x) {
    put_(points_.scenario(), x);
    points_.fit();
  }
  /// Under a tilt fitted there.
  Point fitted(double x) {
    put_(points_.scenario(), x);
    points_.fit_roughly();
    return decided(x, points_.own_sides());
  }
  /// With what measured inputs bear where it depends on that whether x is within the risk.
  Point decided(double x, const tank::Sides& sides) {
    const Point point{x, sides, false};
    return measured_decide_ && within(point) ? completed(point) : point;
  }
  double excess(double x) { return log_excess(sides(x).outside()); }
  tank::Sides sides(double x) {
    put_(points_.scenario(), x);
    return measured_decide_ ? points_.sides() : points_.own_sides();
  }

  /// Where the chance on the points as they are crosses the risk; the end that is within it. Both
  /// within: the end towards bad; both beyond: that towards good.
  double solved(double good, double bad) {
    const auto at = [this](double x) { return excess(x); };
    const double at_good = at(good);
    const double at_bad = at(bad);
    if (at_bad <= 0.0) return bad;
    if (at_good > 0.0) return good;
    // No display tells more, and the algorithm ends far within it.
    const double enough = std::max(tolerance_, 0.1 * k_solved_of_step * step_);
    const auto close = [enough](double x, double y) { return std::abs(x - y) < enough; };
    const numeric::Ends ends = good < bad ? numeric::Ends{good, bad, at_good, at_bad}
                                          : numeric::Ends{bad, good, at_bad, at_good};
    const numeric::Ends narrow = numeric::root(at, ends, close, 100);
    return excess(narrow.low) <= 0.0 ? narrow.low : narrow.high;
  }

  /// A crossing between good and bad with so many points that the display's step is known, under a
  /// tilt fitted there. More points move it by little.
  double refined(double x, double good, double bad) {
    const double reach = 0.02 * (bad - good);
    const tank::Sides here = sides(x);
    const double error = std::sqrt(here.variance) / here.outside();
    if (!(error > 0.0) || here.least >= here.outside()) return x;
    const double back = std::abs(x - good) > std::abs(reach) ? x - reach : x + reach;
    const double slope = (log_excess(here.outside()) - excess(back)) / (x - back);
    const double more = std::log2(error / (std::abs(slope) * k_of_step * step_)) / k_rate;
    if (!(more > 0.0)) return x;
    const double most = *size_.last - size_.crossing;
    points_.resize(size_.crossing + static_cast<unsigned>(std::min(std::ceil(more), most)));
    fit(x);
    if (const auto root = near_root(x, slope, good, bad)) return *root;
    const bool at_good = std::abs(x - good) <= std::abs(reach);
    const bool at_bad = std::abs(x - bad) <= std::abs(reach);
    return solved(at_good ? good : x - reach, at_bad ? bad : x + reach);
  }

  /// By secants from a slope that is known; none where they leave the interval or do not settle.
  std::optional<double> near_root(double x, double slope, double good, double bad) {
    double at_x = excess(x);
    for (int step = 0; step < 5; ++step) {
      const double next = x - at_x / slope;
      if (!(next > std::min(good, bad) && next < std::max(good, bad))) return {};
      if (std::abs(next - x) < k_solved_of_step * step_) return next;
      const double at_next = excess(next);
      const double secant = (at_next - at_x) / (next - x);
      if (!(secant * slope > 0.0)) return {};
      slope = secant;
      x = next;
      at_x = at_next;
    }
    return {};
  }

  double log_excess(double chance) const {
    return std::log(std::max(chance, 1e-300)) - std::log(risk_) - k_log_rounding;
  }

  tank::CommonRandomNumbers& points_;
  const Put& put_;
  double tolerance_, step_, risk_;
  bool measured_decide_;
  const SearchSize& size_;
};

double score(double chance) {
  return std::clamp(numeric::normal_quantile(chance), -k_farthest_score, k_farthest_score);
}

/// Whether between a point of the grid and its neighbours, themselves beyond the risk, the chance
/// may dip to it: by how fast it falls towards them.
bool may_dip(const std::vector<Point>& grid, std::size_t i, double risk) {
  double fall = 0.0;
  for (const std::size_t from : {i > 1 ? i - 2 : 0, i - 1}) {
    fall = std::max(fall, score(grid[from].chance()) - score(grid[from + 1].chance()));
  }
  for (const std::size_t from : {i, std::min(i + 1, grid.size() - 2)}) {
    fall = std::max(fall, score(grid[from + 1].chance()) - score(grid[from].chance()));
  }
  return score(grid[i].chance()) - k_falls * fall - k_may_dip < score(risk);
}

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
  const auto by_chance = [](const Point& a, const Point& b) { return a.chance() < b.chance(); };
  const double lowest = std::min_element(grid.begin(), grid.end(), by_chance)->chance();
  const bool none = lowest > risk;
  for (std::size_t i = 1; i + 1 < coarse.size(); ++i) {
    const double here = coarse[i].chance();
    const double left = coarse[i - 1].chance();
    const double right = coarse[i + 1].chance();
    if (search.within(coarse[i]) || here > left || here > right) continue;
    // Where none is within the risk, the least of all is told.
    if (!(here < std::max(left, right)) || !((none && here == lowest) || may_dip(coarse, i, risk)))
      continue;
    const Point least = search.dip(coarse[i - 1], coarse[i + 1]);
    if (least.chance() < here) add(least);
  }
}

/// Where the chance is least. What measured inputs bear only adds to it, so that it is looked at
/// from the least on until the next one is no less without.
double least_of(RangeSearch& search, std::vector<Point> grid) {
  const auto by_chance = [](const Point& a, const Point& b) { return a.chance() < b.chance(); };
  std::stable_sort(grid.begin(), grid.end(), by_chance);
  Point least = search.completed(grid.front());
  for (std::size_t i = 1; i < grid.size() && grid[i].chance() < least.chance(); ++i) {
    least = std::min(least, search.completed(grid[i]), by_chance);
  }
  return least.x;
}

}  // namespace

Acceptable acceptable(tank::CommonRandomNumbers& points, const Put& put, double low, double high,
                      double step, double risk, const SearchSize& size) {
  constexpr int cells = 32;
  RangeSearch search(points, put, high - low, step, risk, size);
  std::vector<Point> grid;
  grid.reserve(64);
  for (int i = 0; i <= cells; ++i) {
    grid.push_back(search.looked_at(low + (high - low) * i / cells));
  }
  add_between(search, grid, risk);
  Acceptable result;
  result.least_at = least_of(search, grid);
  for (std::size_t i = 0; i < grid.size(); ++i) {
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
