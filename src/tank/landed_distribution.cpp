#include "tank/landed_distribution.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "estimate/randomised_qmc.hpp"
#include "estimate/weights.hpp"
#include "models/infinity.hpp"
#include "numeric/solve.hpp"
#include "numeric/vector_math.hpp"
#include "tank/known.hpp"

namespace blendrisk::tank {
namespace {

constexpr std::size_t k_scramblings = 8;
constexpr std::size_t k_points = estimate::Workspace::k_capacity;  // each; a batch
constexpr std::size_t k_all = k_scramblings * k_points;
/// Of weighted points there are more, until they are worth as many or so, and at most so many times
/// more.
constexpr std::size_t k_most_times = 64;

/// The points with their landed content, and as a line in the conditioned content.
struct Sample {
  std::vector<double> content, a, b;
  std::vector<double>
      centre;  ///< of the conditioned content's score; empty where it is independent
};

/// Weights of what is known given all inputs, and given all but the conditioned one.
struct Weights {
  std::vector<double> all, line;
};

/// The points chosen again by their weights.
Sample unweighted(const Sample& sample, const Weights& weights) {
  const auto chosen = [](const std::vector<double>& column, const std::vector<std::size_t>& which) {
    std::vector<double> result;
    if (column.empty()) return result;
    for (const std::size_t i : which) result.push_back(column[i]);
    return result;
  };
  const auto of_all = estimate::resampled(weights.all, k_all);
  const auto of_line = sample.a.empty() ? of_all : estimate::resampled(weights.line, k_all);
  return {chosen(sample.content, of_all), chosen(sample.a, of_line), chosen(sample.b, of_line),
          chosen(sample.centre, of_line)};
}

Sample draw(const sampling::CaseInputs& inputs, std::optional<std::size_t> conditioned,
            std::uint64_t seed) {
  const sampling::JointSampler sampler = sampling::sampler_of_all(inputs, conditioned);
  const LinearBlend all(inputs, {}, sampler.slots());
  const LinearBlend line(inputs, conditioned);
  std::optional<ConditionedContent> law;
  if (conditioned) law.emplace(inputs, *conditioned);
  estimate::Workspace space(inputs);
  Sample sample;
  Weights weights;
  estimate::Mass mass;
  const auto append = [](std::vector<double>& to, const double* from) {
    to.insert(to.end(), from, from + k_points);
  };
  const auto enough = [&](std::size_t r) {
    if (!inputs.weighted() || r >= k_most_times * k_scramblings) return r >= k_scramblings;
    return r >= k_scramblings && mass.effective() >= static_cast<double>(k_all);
  };
  for (std::size_t r = 0; !enough(r); ++r) {
    sampler.draw_points({seed, sampling::Purpose::landed, r}, 0, space.u, space.batch);
    all.evaluate(space.batch, k_points, space.columns);
    append(sample.content, space.columns.a());
    if (inputs.weighted()) {
      append(weights.all, space.columns.weight());
      for (std::size_t i = 0; i < k_points; ++i) mass.add(space.columns.weight()[i]);
    }
    if (!conditioned) continue;
    line.evaluate(space.batch, k_points, space.columns);
    append(sample.a, space.columns.a());
    append(sample.b, space.columns.b());
    if (inputs.weighted()) append(weights.line, space.columns.weight());
    if (!law->depends()) continue;
    sample.centre.resize(sample.a.size());
    law->centres(space.batch, std::span(sample.centre).last(k_points));
  }
  if (!inputs.weighted()) return sample;
  require_any(inputs, mass.sum);
  return unweighted(sample, weights);
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
