#include "tank/landed_distribution.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "estimate/randomised_qmc.hpp"
#include "models/infinity.hpp"
#include "numeric/solve.hpp"
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
  const numeric::Ends ends = *numeric::bracketed(
      excess, start - 0.05 * spread, start + 0.05 * spread, 0.1 * spread, -k_infinity, k_infinity);
  if (ends.at_low == 0.0 || ends.at_high == 0.0) return ends.at_low == 0.0 ? ends.low : ends.high;
  const auto close = [](double x, double y) { return std::abs(x - y) < 1e-7; };
  return std::clamp(numeric::root(excess, ends, close, 30).middle(), 0.0, 1.0);
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

estimate::Found<estimate::Landed> estimate_landed(const sampling::CaseInputs& inputs,
                                                  std::optional<std::size_t> conditioned,
                                                  std::uint64_t seed) {
  Sample sample = draw(inputs, conditioned, seed);
  estimate::Landed landed;
  const auto n = static_cast<double>(k_all);
  const double mean = numeric::sum(sample.content) / n;
  double squares = 0.0;
  for (const double c : sample.content) squares += (c - mean) * (c - mean);
  landed.mean = mean;
  landed.standard_deviation = std::sqrt(squares / n);
  landed.quantiles = quantiles_of(sample.content);
  if (conditioned && landed.standard_deviation > 1e-9) {
    const ConditionedContent law(inputs, *conditioned);
    for (std::size_t i = 0; i < estimate::k_quantile_orders.size(); ++i) {
      landed.quantiles[i] = root(law, sample, estimate::k_quantile_orders[i], landed.quantiles[i],
                                 landed.standard_deviation);
    }
  }
  return {landed, {.evaluations = k_all}};
}

}  // namespace blendrisk::tank
