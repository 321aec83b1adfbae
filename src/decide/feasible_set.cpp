#include "decide/feasible_set.hpp"

#include <algorithm>
#include <cmath>

#include "numeric/vector_math.hpp"

namespace blendrisk::decide {
namespace {

/// A least chance on the grid may dip to the risk between two points where its normal score lies
/// within so many times its last fall, and this, of that of the risk.
constexpr double k_falls = 2.0;
constexpr double k_may_dip = 0.5;
constexpr double k_farthest_score = 8.0;

double score(double chance) {
  return std::clamp(numeric::normal_quantile(chance), -k_farthest_score, k_farthest_score);
}

/// Whether between a point of the grid and its neighbours, themselves beyond the risk, the chance
/// may dip to it: by how fast it falls towards them.
bool may_dip(const std::vector<CurvePoint>& grid, std::size_t i, double risk) {
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
void add_between(ChanceCurve& curve, std::vector<CurvePoint>& grid, double risk) {
  const auto add = [&grid](const CurvePoint& point) {
    const auto place =
        std::upper_bound(grid.begin(), grid.end(), point.x,
                         [](double x, const CurvePoint& other) { return x < other.x; });
    grid.insert(place, point);
  };
  const std::vector<CurvePoint> coarse = grid;
  for (std::size_t i = 0; i + 1 < coarse.size(); ++i) {
    const CurvePoint& a = coarse[i];
    const CurvePoint& b = coarse[i + 1];
    if (curve.within(a) || curve.within(b)) continue;
    if (rather_below(a) != rather_below(b)) add(curve.balance(a, b));
  }
  const auto by_chance = [](const CurvePoint& a, const CurvePoint& b) {
    return a.chance() < b.chance();
  };
  const double lowest = std::min_element(grid.begin(), grid.end(), by_chance)->chance();
  const bool none = lowest > risk;
  for (std::size_t i = 1; i + 1 < coarse.size(); ++i) {
    const double here = coarse[i].chance();
    const double left = coarse[i - 1].chance();
    const double right = coarse[i + 1].chance();
    if (curve.within(coarse[i]) || here > left || here > right) continue;
    // Where none is within the risk, the least of all is told.
    if (!(here < std::max(left, right)) || !((none && here == lowest) || may_dip(coarse, i, risk)))
      continue;
    const CurvePoint least = curve.dip(coarse[i - 1], coarse[i + 1]);
    if (least.chance() < here) add(least);
  }
}

/// Where the chance is least. What measured inputs bear only adds to it, so that it is looked at
/// from the least on until the next one is no less without.
double least_of(ChanceCurve& curve, std::vector<CurvePoint> grid) {
  const auto by_chance = [](const CurvePoint& a, const CurvePoint& b) {
    return a.chance() < b.chance();
  };
  std::stable_sort(grid.begin(), grid.end(), by_chance);
  CurvePoint least = curve.completed(grid.front());
  for (std::size_t i = 1; i < grid.size() && grid[i].chance() < least.chance(); ++i) {
    least = std::min(least, curve.completed(grid[i]), by_chance);
  }
  return least.x;
}

/// From the end that is asked for up to a point that is clearly within the risk, or all of it;
/// rising.
std::vector<CurvePoint> grid_of(ChanceCurve& curve, double low, double high, Ends ends) {
  constexpr int cells = 32;
  std::vector<CurvePoint> grid;
  grid.reserve(64);
  for (int i = 0; i <= cells; ++i) {
    const int cell = ends == Ends::highest ? cells - i : i;
    grid.push_back(curve.looked_at(low + (high - low) * cell / cells));
    if (ends != Ends::all && !grid.back().near && curve.within(grid.back())) break;
  }
  if (ends == Ends::highest) std::reverse(grid.begin(), grid.end());
  for (std::size_t i = 0; i < grid.size(); ++i) {
    if (!grid[i].near) continue;
    std::size_t last = i;
    const auto goes_on = [&](std::size_t to) {
      return to < grid.size() && grid[to].near && grid[to].mixtures == grid[i].mixtures;
    };
    while (goes_on(last + 1)) ++last;
    curve.tell(grid, i, last);
    i = last;
  }
  return grid;
}

/// The spans of a grid's points within the risk, the ends that are asked for solved.
std::vector<Span> spans_of(ChanceCurve& curve, const std::vector<CurvePoint>& grid, Ends ends) {
  std::vector<Span> spans;
  for (std::size_t i = 0; i < grid.size(); ++i) {
    if (!curve.within(grid[i])) continue;
    const double x = grid[i].x;
    if (i == 0 || !curve.within(grid[i - 1])) {
      const bool solve = i > 0 && ends != Ends::highest;
      spans.push_back({solve ? curve.crossing(grid[i], grid[i - 1]) : x, x});
    }
    const bool ends_here = i + 1 < grid.size() && !curve.within(grid[i + 1]);
    const bool solve = ends_here && ends != Ends::lowest;
    spans.back().high = solve ? curve.crossing(grid[i], grid[i + 1]) : x;
  }
  return spans;
}

}  // namespace

Acceptable acceptable(tank::CommonRandomNumbers& points, const Put& put, double low, double high,
                      double step, double risk, const SearchSize& size, Ends ends) {
  ChanceCurve curve(points, put, high - low, step, risk, size);
  std::vector<CurvePoint> grid = grid_of(curve, low, high, ends);
  add_between(curve, grid, risk);
  Acceptable result;
  if (ends == Ends::all) result.least_at = least_of(curve, grid);
  result.spans = spans_of(curve, grid, ends);
  return result;
}

}  // namespace blendrisk::decide
