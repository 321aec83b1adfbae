#include "line/carry_over.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "estimate/weights.hpp"
#include "line/line_samples.hpp"
#include "numeric/vector_math.hpp"
#include "scenario/correlation.hpp"

namespace blendrisk::line {
namespace {

using estimate::CarriedLaw;
using estimate::CarriedOver;
using Member = double KnownCase::*;

struct Input {
  const char* key;
  Member member;
};
constexpr Input k_tank{"heel.content", &KnownCase::tank};
constexpr Input k_line{"line.content", &KnownCase::line};
constexpr Input k_bias{"sensor.bias", &KnownCase::bias};

/// A point of a distribution function with its normal score and what its value may be off by.
struct Point {
  double share, score, value, slack;
};

// Each from the law's end inwards, mirrored.
constexpr std::array k_shares{2e-4, 5e-4, 1e-3, 2e-3, 5e-3, 0.01, 0.02, 0.03,
                              0.05, 0.1,  0.15, 0.2,  0.3,  0.4,  0.5};
/// So many cases at least lie beyond a point.
constexpr double k_fewest_beyond = 10.0;

std::vector<double> shares_of(double effective_cases) {
  std::vector<double> shares;
  for (const double share : k_shares) {
    if (share * effective_cases >= k_fewest_beyond || share == 0.5) shares.push_back(share);
  }
  for (std::size_t i = shares.size() - 1; i-- > 0;) shares.push_back(1.0 - shares[i]);
  return shares;
}

/// The points that straight lines between the first and the last need for all others to lie within
/// their slack: the farthest off is added until none is off (D. H. Douglas and T. K. Peucker, The
/// Canadian Cartographer 10, 1973; from memory).
std::vector<bool> needed(const std::vector<Point>& points) {
  std::vector<bool> kept(points.size(), false);
  kept.front() = kept.back() = true;
  for (std::size_t worst = 1; worst != 0;) {
    worst = 0;
    double most = 1.0;
    std::size_t from = 0;
    for (std::size_t to = 1; to < points.size(); ++to) {
      if (!kept[to]) continue;
      const Point& a = points[from];
      const Point& b = points[to];
      for (std::size_t i = from + 1; i < to; ++i) {
        const double along = (points[i].score - a.score) / (b.score - a.score);
        const double off = std::abs(points[i].value - a.value - along * (b.value - a.value));
        if (off > most * points[i].slack) {
          most = off / points[i].slack;
          worst = i;
        }
      }
      from = to;
    }
    if (worst != 0) kept[worst] = true;
  }
  return kept;
}

CarriedLaw law_of(const Input& input, const std::vector<KnownCase>& cases, double effective_cases) {
  std::vector<estimate::Weighted> values;
  for (const KnownCase& one : cases) values.push_back({one.*input.member, one.weight});
  const auto [mean, sd] = estimate::moments_of(values);
  constexpr double k_nothing = 2e-5;  // of a content, and what a line of a scenario tells apart
  estimate::sort(values);
  std::vector<Point> points;
  for (const double share : shares_of(effective_cases)) {
    const double value = estimate::quantile_of(values, share);
    // Values held at a bound have no quantile of their own.
    if (!points.empty() && !(value > points.back().value + k_nothing)) continue;
    points.push_back({share, numeric::normal_quantile(share), value, 0.0});
  }
  if (points.size() < 2) return {input.key, {{0.5, mean}}};
  for (std::size_t i = 0; i < points.size(); ++i) {
    Point& point = points[i];
    const Point& next = points[std::min(i + 1, points.size() - 1)];
    const Point& last = points[i == 0 ? 0 : i - 1];
    const double slope = (next.value - last.value) / (next.score - last.score);
    const double error = slope * std::sqrt(point.share * (1.0 - point.share) / effective_cases) /
                         numeric::normal_density(point.score);
    point.slack = std::max(0.01 * sd, 3.0 * error);
  }
  // A normal law is told as one: its sampled ends would bend it.
  const bool normal = std::ranges::all_of(points, [mean = mean, sd = sd](const Point& point) {
    return std::abs(point.value - mean - sd * point.score) <= point.slack;
  });
  if (normal) {
    const double below = numeric::normal_cdf(-1.0);
    return {input.key, {{below, mean - sd}, {1.0 - below, mean + sd}}};
  }
  const std::vector<bool> kept = needed(points);
  CarriedLaw law{input.key, {}};
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (kept[i]) law.points.push_back({points[i].share, points[i].value});
  }
  return law;
}

/// The weight at or below each case's value, that of equal values by half.
std::vector<double> ranks(const std::vector<KnownCase>& cases, Member member) {
  std::vector<std::size_t> order(cases.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return cases[a].*member < cases[b].*member; });
  std::vector<double> rank(cases.size());
  double below = 0.0;
  for (std::size_t from = 0; from < order.size();) {
    double equal = 0.0;
    std::size_t to = from;
    for (; to < order.size() && cases[order[to]].*member == cases[order[from]].*member; ++to) {
      equal += cases[order[to]].weight;
    }
    for (; from < to; ++from) rank[order[from]] = below + 0.5 * equal;
    below += equal;
  }
  return rank;
}

/// Spearman's: the correlation of the ranks.
double rank_correlation(const std::vector<KnownCase>& cases, const std::vector<double>& a,
                        const std::vector<double>& b) {
  double weight = 0.0;
  for (const KnownCase& one : cases) weight += one.weight;
  const double middle = 0.5 * weight;  // the mean of any ranks
  double aa = 0.0;
  double bb = 0.0;
  double ab = 0.0;
  for (std::size_t i = 0; i < cases.size(); ++i) {
    aa += cases[i].weight * (a[i] - middle) * (a[i] - middle);
    bb += cases[i].weight * (b[i] - middle) * (b[i] - middle);
    ab += cases[i].weight * (a[i] - middle) * (b[i] - middle);
  }
  return ab / std::sqrt(aa * bb);
}

/// To four decimals, and short of the 1 that no line accepts.
double as_told(double rank) {
  constexpr double k_most = 0.9999;
  return std::clamp(std::round(1e4 * rank) / 1e4, -k_most, k_most);
}

}  // namespace

CarriedOver carried_over(const std::vector<KnownCase>& cases, double effective_cases) {
  double differ = 0.0;
  double all = 0.0;
  bool biased = false;
  for (const KnownCase& one : cases) {
    all += one.weight;
    if (std::abs(one.line - one.tank) > 5e-4) differ += one.weight;
    biased |= one.bias != 0.0;
  }
  std::vector<Input> inputs{k_tank};
  if (differ > 0.05 * all) inputs.push_back(k_line);
  if (biased) inputs.push_back(k_bias);
  CarriedOver carried;
  std::vector<std::vector<double>> rank;
  for (const Input& input : inputs) {
    carried.laws.push_back(law_of(input, cases, effective_cases));
    rank.push_back(ranks(cases, input.member));
  }
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      if (carried.laws[i].points.size() < 2 || carried.laws[j].points.size() < 2) continue;
      const double rho = rank_correlation(cases, rank[i], rank[j]);
      if (std::abs(rho) > 0.02) {
        carried.ranks.push_back({inputs[j].key, inputs[i].key, as_told(rho)});
      }
    }
  }
  // Three that nearly tell each other may exclude each other by rounding.
  while (!scenario::conflicting(carried.ranks).empty()) {
    for (scenario::Correlation& one : carried.ranks) one.rank = as_told(0.999 * one.rank);
  }
  return carried;
}

CarriedOver carried_over(const scenario::Scenario& scenario, const estimate::Options& options) {
  scenario::Scenario mixed = scenario;
  mixed.sensor.lag_s = 0.0;  // which would ask for the engine's rates
  const sampling::CaseInputs inputs(mixed, sampling::Scope::line);
  const Line line(inputs);
  constexpr std::size_t k_cases = std::size_t{1} << 17U;
  const ArrivalCases followed =
      follow_cases(line, estimate::limits_of(scenario.limits).front(), k_cases, options, 0);
  std::vector<KnownCase> cases;
  for (std::size_t i = 0; i < followed.size(); ++i) {
    cases.push_back({followed.settled[i], followed.settled[i], followed.bias[i], 1.0});
  }
  return carried_over(cases, static_cast<double>(cases.size()));
}

}  // namespace blendrisk::line
