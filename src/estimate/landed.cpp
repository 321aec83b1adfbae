#include "estimate/landed.hpp"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <vector>

#include "estimate/replicates.hpp"
#include "numeric/arrays.hpp"

namespace blendrisk::estimate {
namespace {

constexpr std::size_t kScramblings = 8;
constexpr std::size_t kPoints = Workspace::k_capacity;  // each; a batch
constexpr std::size_t kAll = kScramblings * kPoints;

/// The points with their landed content, and as a line in the conditioned content.
struct Sample {
  std::vector<double> content, a, b;
  std::vector<double>
      centre;  ///< of the conditioned content's score; empty where it is independent
};

Sample draw(const sampling::CaseInputs& inputs, std::optional<std::size_t> conditioned,
            std::uint64_t seed) {
  const Landing all(inputs, {});
  const Landing line(inputs, conditioned);
  const sampling::Drawer drawer = sampling::drawer_of_all(inputs, conditioned);
  std::optional<ConditionedLaw> law;
  if (conditioned) law.emplace(inputs, *conditioned);
  Workspace space(inputs);
  Sample sample{
      std::vector<double>(kAll), std::vector<double>(kAll), std::vector<double>(kAll), {}};
  if (law && law->depends()) sample.centre.resize(kAll);
  for (std::size_t r = 0; r < kScramblings; ++r) {
    drawer.draw_points({seed, sampling::Purpose::landed, r}, 0, space.u, space.batch);
    const auto at = static_cast<std::ptrdiff_t>(r * kPoints);
    all.evaluate(space.batch, kPoints, space.columns);
    std::copy_n(space.columns.a(), kPoints, sample.content.begin() + at);
    if (!conditioned) continue;
    line.evaluate(space.batch, kPoints, space.columns);
    std::copy_n(space.columns.a(), kPoints, sample.a.begin() + at);
    std::copy_n(space.columns.b(), kPoints, sample.b.begin() + at);
    if (!sample.centre.empty()) {
      law->centres(space.batch, std::span(sample.centre).subspan(r * kPoints, kPoints));
    }
  }
  return sample;
}

/// The content y with mean P(a + b x < y) = order, searched from the sample's own quantile.
double root(const ConditionedLaw& law, const Sample& sample, double order, double start,
            double spread) {
  std::vector<double> f(kAll);
  const auto excess = [&](double y) {
    law.outside(Side::below, y, sample.a.data(), sample.b.data(), sample.centre, f);
    return numeric::sum(f) / static_cast<double>(kAll) - order;
  };
  double low = start - 0.05 * spread;
  double high = start + 0.05 * spread;
  double at_low = excess(low);
  double at_high = excess(high);
  for (double step = 0.1 * spread; at_low > 0.0; step *= 2.0) {
    high = low;
    at_high = at_low;
    low -= step;
    at_low = excess(low);
  }
  for (double step = 0.1 * spread; at_high < 0.0; step *= 2.0) {
    low = high;
    at_low = at_high;
    high += step;
    at_high = excess(high);
  }
  if (at_low == 0.0 || at_high == 0.0) return at_low == 0.0 ? low : high;
  const auto close = [](double x, double y) { return std::abs(x - y) < 1e-7; };
  std::uintmax_t steps = 30;
  const auto bracket =
      boost::math::tools::toms748_solve(excess, low, high, at_low, at_high, close, steps);
  return std::clamp(0.5 * (bracket.first + bracket.second), 0.0, 1.0);
}

}  // namespace

std::array<double, 5> quantiles_of(std::span<double> contents) {
  std::array<double, 5> quantiles{};
  for (std::size_t i = 0; i < quantiles.size(); ++i) {
    const double place = k_quantile_orders[i] * static_cast<double>(contents.size() - 1);
    const auto below = static_cast<std::ptrdiff_t>(place);
    const auto middle = contents.begin() + below;
    std::nth_element(contents.begin(), middle, contents.end());
    const double low = *middle;
    const double high =
        middle + 1 < contents.end() ? *std::min_element(middle + 1, contents.end()) : low;
    // Not through the difference where both are infinite.
    quantiles[i] = high > low ? low + (place - static_cast<double>(below)) * (high - low) : low;
  }
  return quantiles;
}

LandedResult estimate_landed(const sampling::CaseInputs& inputs,
                             std::optional<std::size_t> conditioned, std::uint64_t seed) {
  Sample sample = draw(inputs, conditioned, seed);
  LandedResult result;
  result.evaluations = kAll;
  const auto n = static_cast<double>(kAll);
  const double mean = numeric::sum(sample.content) / n;
  double squares = 0.0;
  for (const double c : sample.content) squares += (c - mean) * (c - mean);
  result.landed.mean = mean;
  result.landed.standard_deviation = std::sqrt(squares / n);
  result.landed.quantiles = quantiles_of(sample.content);
  if (conditioned && result.landed.standard_deviation > 1e-9) {
    const ConditionedLaw law(inputs, *conditioned);
    for (std::size_t i = 0; i < k_quantile_orders.size(); ++i) {
      result.landed.quantiles[i] =
          root(law, sample, k_quantile_orders[i], result.landed.quantiles[i],
               result.landed.standard_deviation);
    }
  }
  return result;
}

}  // namespace blendrisk::estimate
