#include "decide/chance_curve.hpp"

#include <algorithm>
#include <boost/math/tools/minima.hpp>
#include <cmath>

#include "numeric/solve.hpp"

namespace blendrisk::decide {
namespace {

constexpr int k_dip_bits = 14;
/// Of a display's step, to which a crossing is known: by its points, and as solved.
constexpr double k_of_step = 0.05;
constexpr double k_solved_of_step = 0.01;
/// To which an interval about it is narrowed; the algorithm ends far within it.
constexpr double k_narrowed_of_step = 1e-3;
/// And of what the points leave open of it.
constexpr double k_solved_of_error = 0.1;
/// The error of a mean of n points falls at least as n to minus this.
constexpr double k_rate = 0.75;
/// Chances that differ from the risk by less, of the natural logarithm, are looked at with the
/// points of a crossing.
constexpr double k_near = 0.3;
/// So many standard errors tell on which side of the risk a chance is.
constexpr double k_told = 4.0;
/// The binary logarithm of how many times more points are taken.
constexpr unsigned k_more = 2;  // than for a crossing; then the most
/// A chance that equals the risk but for rounding is within it.
constexpr double k_log_rounding = 1e-9;

double relative_error(const tank::Sides& sides) {
  return std::sqrt(sides.variance) / sides.outside();
}

}  // namespace

bool rather_below(const CurvePoint& point) {
  return point.sides.below > point.sides.above;
}

ChanceCurve::ChanceCurve(tank::CommonRandomNumbers& points, const Put& put, double range,
                         double step, double risk, const SearchSize& size)
    : points_(points),
      put_(put),
      tolerance_(1e-8 * range),
      step_(step),
      risk_(risk),
      measured_decide_(points.most_least() > risk),
      size_(size) {
  points_.resize(size.grid);
}

CurvePoint ChanceCurve::looked_at(double x) {
  put_(points_.scenario(), x);
  if (const auto clear = points_.clear_sides(risk_)) return decided(x, *clear);
  tank::Sides sides = fitted(x);
  bool near = false;
  const auto excess = [&] { return std::abs(log_excess(sides.outside())); };
  if (excess() < k_near) {
    points_.resize(size_.crossing);
    sides = fitted(x);
    points_.resize(size_.grid);
    near = size_.last && excess() < k_told * relative_error(sides);
  }
  CurvePoint point = decided(x, sides);
  point.near = near;
  return point;
}

CurvePoint ChanceCurve::told(const CurvePoint& near) {
  if (!near.near) return near;
  tank::Sides sides;
  const auto is_told = [&] {
    return std::abs(log_excess(sides.outside())) >= k_told * relative_error(sides);
  };
  for (const unsigned log2 : {size_.crossing + k_more, *size_.last}) {
    points_.resize(std::min(log2, *size_.last));
    sides = fitted(near.x);
    if (is_told()) break;
  }
  points_.resize(size_.grid);
  return decided(near.x, sides);
}

void ChanceCurve::tell(std::vector<CurvePoint>& grid, std::size_t first, std::size_t last) {
  const std::vector<CurvePoint> few = grid;
  grid[first] = told(grid[first]);
  if (last > first) grid[last] = told(grid[last]);
  tell_between(grid, few, first, last);
}

void ChanceCurve::tell_between(std::vector<CurvePoint>& grid, const std::vector<CurvePoint>& few,
                               std::size_t first, std::size_t last) {
  if (last - first < 2) return;
  const auto change = [&](std::size_t i) { return grid[i].chance() / few[i].chance(); };
  const double at_first = change(first);
  const double at_last = change(last);
  bool alike = within(grid[first]) == within(grid[last]);
  for (std::size_t i = first + 1; i < last; ++i) {
    const double way = static_cast<double>(i - first) / static_cast<double>(last - first);
    grid[i] = corrected(few[i], at_first + way * (at_last - at_first));
    alike = alike && within(grid[i]) == within(grid[first]);
  }
  if (alike) return;
  const std::size_t middle = first + (last - first) / 2;
  grid[middle] = told(few[middle]);
  tell_between(grid, few, first, middle);
  tell_between(grid, few, middle, last);
}

CurvePoint ChanceCurve::corrected(const CurvePoint& point, double factor) {
  tank::Sides sides = point.sides;
  sides.below *= factor;
  sides.above *= factor;
  CurvePoint better = point;
  better.sides = sides;
  better.near = false;
  if (!point.whole && measured_decide_ && within(better)) return completed(better);
  return better;
}

CurvePoint ChanceCurve::completed(CurvePoint point) {
  if (point.whole) return point;
  put_(points_.scenario(), point.x);
  point.sides.least = points_.least(point.chance());
  point.whole = true;
  return point;
}

/// First as if no measured input bore anything: mostly none does where that crosses the risk.
double ChanceCurve::crossing(const CurvePoint& good, const CurvePoint& bad) {
  points_.resize(size_.crossing);
  fit(0.5 * (good.x + bad.x));
  const double own_at_bad = bad.sides.below + bad.sides.above;
  whole_ = measured_decide_ && log_excess(own_at_bad) <= 0.0;
  double x = located(good.x, bad.x);
  if (measured_decide_ && !whole_) {
    put_(points_.scenario(), x);
    whole_ = true;
    if (log_excess(points_.least(risk_)) > 0.0) {
      points_.resize(size_.crossing);
      x = located(good.x, x);
    }
  }
  points_.resize(size_.grid);
  return x;
}

double ChanceCurve::located(double good, double bad) {
  const double x = solved(good, bad, k_narrowed_of_step * step_);
  return size_.last ? refined(x, good, bad) : x;
}

CurvePoint ChanceCurve::dip(const CurvePoint& a, const CurvePoint& b) {
  put_(points_.scenario(), 0.5 * (a.x + b.x));
  points_.fit_roughly();
  const auto excess = [this](double x) {
    put_(points_.scenario(), x);
    return log_excess(decided(x, points_.own_sides()).chance());
  };
  std::uintmax_t steps = 40;
  const auto least = boost::math::tools::brent_find_minima(excess, a.x, b.x, k_dip_bits, steps);
  return told(looked_at(least.first));
}

CurvePoint ChanceCurve::balance(const CurvePoint& a, const CurvePoint& b) {
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
  return told(looked_at(narrow.middle()));
}

void ChanceCurve::fit(double x) {
  put_(points_.scenario(), x);
  points_.fit();
}

/// Under a mixture fitted there.
tank::Sides ChanceCurve::fitted(double x) {
  put_(points_.scenario(), x);
  points_.fit_roughly();
  return points_.own_sides();
}

/// With what measured inputs bear where it depends on that whether x is within the risk.
CurvePoint ChanceCurve::decided(double x, const tank::Sides& sides) {
  const CurvePoint point{x, sides, sides.least > 0.0, false, points_.mixtures()};
  return measured_decide_ && within(point) ? completed(point) : point;
}

tank::Sides ChanceCurve::sides(double x) {
  put_(points_.scenario(), x);
  return measured_decide_ && whole_ ? points_.sides() : points_.own_sides();
}

/// Where the chance on the points as they are crosses the risk; the end that is within it. Both
/// within: the end towards bad; both beyond: that towards good.
double ChanceCurve::solved(double good, double bad, double enough) {
  const auto at = [this](double x) { return excess(x); };
  const double at_good = at(good);
  const double at_bad = at(bad);
  if (at_bad <= 0.0) return bad;
  if (at_good > 0.0) return good;
  const double closest = std::max(tolerance_, enough);
  const auto close = [closest](double x, double y) { return std::abs(x - y) < closest; };
  const numeric::Ends ends = good < bad ? numeric::Ends{good, bad, at_good, at_bad}
                                        : numeric::Ends{bad, good, at_bad, at_good};
  const numeric::Ends narrow = numeric::root(at, ends, close, 100);
  return excess(narrow.low) <= 0.0 ? narrow.low : narrow.high;
}

/// A crossing between good and bad with so many points that the display's step is known, under a
/// mixture fitted there. More points move it by little.
double ChanceCurve::refined(double x, double good, double bad) {
  const double reach = 0.02 * (bad - good);
  const tank::Sides here = sides(x);
  const double error = relative_error(here);
  if (!(error > 0.0) || here.least >= here.outside()) return x;
  const double back = std::abs(x - good) > std::abs(reach) ? x - reach : x + reach;
  const double slope = (log_excess(here.outside()) - excess(back)) / (x - back);
  const double more = std::log2(error / (std::abs(slope) * k_of_step * step_)) / k_rate;
  if (!(more > 0.0)) return x;
  const double most = *size_.last - size_.crossing;
  points_.resize(size_.crossing + static_cast<unsigned>(std::min(std::ceil(more), most)));
  fit(x);
  const tank::Sides finer = sides(x);
  const double left_open = k_solved_of_error * relative_error(finer) / std::abs(slope);
  const Line tangent{x, log_excess(finer.outside()), slope};
  const double enough = std::max(k_solved_of_step * step_, left_open);
  if (const auto root = near_root(tangent, good, bad, enough)) return *root;
  const bool at_good = std::abs(x - good) <= std::abs(reach);
  const bool at_bad = std::abs(x - bad) <= std::abs(reach);
  return solved(at_good ? good : x - reach, at_bad ? bad : x + reach,
                std::max(k_narrowed_of_step * step_, left_open));
}

/// By secants from a slope that is known; none where they leave the interval or do not settle.
std::optional<double> ChanceCurve::near_root(const Line& tangent, double good, double bad,
                                             double enough) {
  auto [x, at_x, slope] = tangent;
  for (int step = 0; step < 5; ++step) {
    const double next = x - at_x / slope;
    if (!(next > std::min(good, bad) && next < std::max(good, bad))) return {};
    if (std::abs(next - x) < enough) return next;
    const double at_next = excess(next);
    const double secant = (at_next - at_x) / (next - x);
    if (!(secant * slope > 0.0)) return {};
    slope = secant;
    x = next;
    at_x = at_next;
  }
  return {};
}

double ChanceCurve::log_excess(double chance) const {
  return std::log(std::max(chance, 1e-300)) - std::log(risk_) - k_log_rounding;
}

}  // namespace blendrisk::decide
