#include "tank/landed_distribution.hpp"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <vector>

#include "estimate/randomised_qmc.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::tank {
namespace {

constexpr std::size_t k_scramblings = 8;
constexpr std::size_t k_points = estimate::Workspace::k_capacity;  // each; a batch
constexpr std::size_t k_all = k_scramblings * k_points;

/// The points with their landed content, and as a line in the conditioned content.
struct Sample {
  std::vector<double> content, a, b;
  std::vector<double>
      centre;  ///< of the conditioned content's score; empty where it is independent
};

Sample draw(const sampling::CaseInputs& inputs, std::optional<std::size_t> conditioned,
            std::uint64_t seed) {
  const LinearBlend all(inputs, {});
  const LinearBlend line(inputs, conditioned);
  const sampling::JointSampler sampler = sampling::sampler_of_all(inputs, conditioned);
  std::optional<ConditionedContent> law;
  if (conditioned) law.emplace(inputs, *conditioned);
  estimate::Workspace space(inputs);
  Sample sample{
      std::vector<double>(k_all), std::vector<double>(k_all), std::vector<double>(k_all), {}};
  if (law && law->depends()) sample.centre.resize(k_all);
  for (std::size_t r = 0; r < k_scramblings; ++r) {
    sampler.draw_points({seed, sampling::Purpose::landed, r}, 0, space.u, space.batch);
    const auto at = static_cast<std::ptrdiff_t>(r * k_points);
    all.evaluate(space.batch, k_points, space.columns);
    std::copy_n(space.columns.a(), k_points, sample.content.begin() + at);
    if (!conditioned) continue;
    line.evaluate(space.batch, k_points, space.columns);
    std::copy_n(space.columns.a(), k_points, sample.a.begin() + at);
    std::copy_n(space.columns.b(), k_points, sample.b.begin() + at);
    if (!sample.centre.empty()) {
      law->centres(space.batch, std::span(sample.centre).subspan(r * k_points, k_points));
    }
  }
  return sample;
}

/// The content y with mean P(a + b x < y) = order, searched from the sample's own quantile.
double root(const ConditionedContent& law, const Sample& sample, double order, double start,
            double spread) {
  std::vector<double> f(k_all);
  const auto excess = [&](double y) {
    law.outside(estimate::Side::below, y, sample.a.data(), sample.b.data(), sample.centre, f);
    return numeric::sum(f) / static_cast<double>(k_all) - order;
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
    const double place = estimate::k_quantile_orders[i] * static_cast<double>(contents.size() - 1);
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
  result.evaluations = k_all;
  const auto n = static_cast<double>(k_all);
  const double mean = numeric::sum(sample.content) / n;
  double squares = 0.0;
  for (const double c : sample.content) squares += (c - mean) * (c - mean);
  result.landed.mean = mean;
  result.landed.standard_deviation = std::sqrt(squares / n);
  result.landed.quantiles = quantiles_of(sample.content);
  if (conditioned && result.landed.standard_deviation > 1e-9) {
    const ConditionedContent law(inputs, *conditioned);
    for (std::size_t i = 0; i < estimate::k_quantile_orders.size(); ++i) {
      result.landed.quantiles[i] =
          root(law, sample, estimate::k_quantile_orders[i], result.landed.quantiles[i],
               result.landed.standard_deviation);
    }
  }
  return result;
}

}  // namespace blendrisk::tank
