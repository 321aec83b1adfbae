#include "tank/landed_distribution.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "estimate/interval.hpp"
#include "estimate/randomised_qmc.hpp"
#include "estimate/weights.hpp"
#include "models/infinity.hpp"
#include "numeric/solve.hpp"
#include "numeric/vector_math.hpp"
#include "tank/known.hpp"

namespace blendrisk::tank {
namespace {

constexpr std::size_t k_scramblings = 8;
constexpr std::size_t k_batch = estimate::Workspace::k_capacity;
/// Weighted points are to be worth as many as there are of others at first.
constexpr double k_worth = static_cast<double>(k_scramblings * k_batch);
/// Batches of each scrambling at most: of points that tell enough but not to the error wanted, and
/// of weighted ones.
constexpr std::size_t k_most_batches = 16;
constexpr std::size_t k_most_weighted = 64;
/// Standard error of a quantile that is small enough: the display shows a tenth of a percent.
constexpr double k_small_error = 2e-5;

/// The points with their landed content, and as a line in the conditioned content; scrambling after
/// scrambling, `each` points of one.
struct Sample {
  std::size_t each = 0;
  std::vector<double> content{}, a{}, b{};
  std::vector<double> centre{};  ///< of the conditioned content's score; empty if independent
  /// Chances of what is known given all inputs, and given all but the conditioned one; 1 where
  /// nothing is.
  std::vector<double> all{}, line{};
};

Sample draw(const sampling::CaseInputs& inputs, std::optional<std::size_t> conditioned,
            std::uint64_t seed, std::size_t batches) {
  const sampling::JointSampler sampler = sampling::sampler_of_all(inputs, conditioned);
  const LinearBlend all(inputs, {}, sampler.slots());
  const LinearBlend line(inputs, conditioned);
  std::optional<ConditionedContent> law;
  if (conditioned) law.emplace(inputs, *conditioned);
  estimate::Workspace space(inputs);
  Sample sample{.each = batches * k_batch};
  const auto append = [](std::vector<double>& to, const double* from) {
    to.insert(to.end(), from, from + k_batch);
  };
  for (std::size_t k = 0; k < k_scramblings * batches; ++k) {
    const std::size_t first = k % batches * k_batch;
    sampler.draw_points({seed, sampling::Purpose::landed, k / batches}, first, space.u,
                        space.batch);
    all.evaluate(space.batch, k_batch, space.columns);
    append(sample.content, space.columns.a());
    if (inputs.weighted()) append(sample.all, space.columns.weight());
    if (!conditioned) continue;
    line.evaluate(space.batch, k_batch, space.columns);
    append(sample.a, space.columns.a());
    append(sample.b, space.columns.b());
    if (inputs.weighted()) append(sample.line, space.columns.weight());
    if (!law->depends()) continue;
    sample.centre.resize(sample.a.size());
    law->centres(space.batch, std::span(sample.centre).last(k_batch));
  }
  if (!inputs.weighted()) sample.all.assign(sample.content.size(), 1.0);
  if (!inputs.weighted()) sample.line.assign(sample.a.size(), 1.0);
  return sample;
}

/// P(a + b x < y) over a sample, and what it is off by from scrambling to scrambling.
class Share {
 public:
  Share(const ConditionedContent& law, const Sample& sample)
      : law_(law), sample_(sample), f_(sample.a.size()), sum_(numeric::sum(sample.line)) {}

  double operator()(double y) {
    law_.outside(estimate::Side::below, y, sample_.a.data(), sample_.b.data(), sample_.centre, f_);
    for (std::size_t i = 0; i < f_.size(); ++i) f_[i] *= sample_.line[i];
    return numeric::sum(f_) / sum_;
  }

  struct Root {
    double y, error;  ///< with its standard error
  };

  /// The content at which it is `order`, from near `start` outward by `step`.
  Root root(double order, double start, double step) {
    const auto excess = [&](double y) { return (*this)(y)-order; };
    const numeric::Ends ends = *numeric::bracketed(excess, start - step, start + step, 2.0 * step,
                                                   -k_infinity, k_infinity);
    const auto close = [](double x, double y) { return std::abs(x - y) < 1e-6; };
    const double y = ends.at_low == 0.0    ? ends.low
                     : ends.at_high == 0.0 ? ends.high
                                           : numeric::root(excess, ends, close, 30).middle();
    // Of the shares last asked for, next to the root.
    std::array<double, k_scramblings> parts{};
    for (std::size_t r = 0; r < k_scramblings; ++r) {
      const auto part = [&](const std::vector<double>& column) {
        return numeric::sum(std::span(column).subspan(r * sample_.each, sample_.each));
      };
      parts[r] = (part(f_) - order * part(sample_.line)) / sum_ * k_scramblings;
    }
    const double slope = (ends.at_high - ends.at_low) / (ends.high - ends.low);
    const double error = std::sqrt(estimate::mean_of(parts).variance) / slope;
    return {std::clamp(y, 0.0, 1.0), slope > 0.0 ? error : 0.0};
  }

 private:
  const ConditionedContent& law_;
  const Sample& sample_;
  std::vector<double> f_;
  double sum_;
};

/// Contents of `count` points from `from` on with their weights; none where these are all 0.
std::vector<estimate::Weighted> weighted(const Sample& sample, std::size_t from,
                                         std::size_t count) {
  std::vector<estimate::Weighted> values;
  double sum = 0.0;
  for (std::size_t i = from; i < from + count; ++i) {
    values.push_back({sample.content[i], sample.all[i]});
    sum += sample.all[i];
  }
  if (!(sum > 0.0)) values.clear();
  return values;
}

/// The quantiles of the drawn contents, with their error by those of each scrambling.
void drawn_quantiles(const Sample& sample, std::vector<estimate::Weighted>& values,
                     estimate::Landed& landed) {
  landed.quantiles = estimate::quantiles_of(values);
  std::array<std::vector<double>, estimate::k_quantile_orders.size()> parts;
  for (std::size_t r = 0; r < k_scramblings; ++r) {
    std::vector<estimate::Weighted> part = weighted(sample, r * sample.each, sample.each);
    if (part.empty()) continue;
    const std::array<double, 5> quantiles = estimate::quantiles_of(part);
    for (std::size_t i = 0; i < parts.size(); ++i) parts[i].push_back(quantiles[i]);
  }
  for (const std::vector<double>& part : parts) {
    if (part.size() < 2) continue;
    landed.error = std::max(landed.error, std::sqrt(estimate::mean_of(part).variance));
  }
}

/// The quantiles as roots of the conditional share.
/// @param near  such quantiles on fewer points, with their error, if there are any
void roots(const ConditionedContent& law, const Sample& sample,
           const std::optional<estimate::Landed>& near, std::vector<estimate::Weighted>& values,
           estimate::Landed& landed) {
  const double spread = landed.standard_deviation;
  const double step = near ? std::clamp(3.0 * near->error, 1e-6, 0.05 * spread) : 0.05 * spread;
  const std::array<double, 5> start = near ? near->quantiles : estimate::quantiles_of(values);
  Share share(law, sample);
  for (std::size_t i = 0; i < estimate::k_quantile_orders.size(); ++i) {
    const auto [y, error] = share.root(estimate::k_quantile_orders[i], start[i], step);
    landed.quantiles[i] = y;
    landed.error = std::max(landed.error, error);
  }
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
                                                  std::uint64_t seed, bool to_an_error) {
  std::optional<ConditionedContent> law;
  if (conditioned) law.emplace(inputs, *conditioned);
  std::optional<estimate::Landed> near;
  std::uint64_t evaluations = 0;
  for (std::size_t batches = 1;;) {
    const Sample sample = draw(inputs, conditioned, seed, batches);
    evaluations += sample.content.size();
    const estimate::Mass mass = estimate::mass_of(sample.all);
    const bool worth = mass.sum > 0.0 && mass.effective() >= k_worth;
    if (!worth && batches < k_most_weighted) {
      batches *= 4;
      continue;
    }
    if (inputs.weighted()) require_any(inputs, mass.sum);
    std::vector<estimate::Weighted> values = weighted(sample, 0, sample.content.size());
    const auto [mean, sd] = estimate::moments_of(values);
    estimate::Landed landed{mean, sd};
    if (conditioned && sd > 1e-9) {
      roots(*law, sample, near, values, landed);
    } else {
      drawn_quantiles(sample, values, landed);
    }
    if (!to_an_error || landed.error <= k_small_error || batches >= k_most_batches) {
      return {landed, {.evaluations = evaluations}};
    }
    // The error falls about as fast as the points grow in number.
    batches = landed.error > 4.0 * k_small_error ? k_most_batches : 4 * batches;
    near = landed;
  }
}

}  // namespace blendrisk::tank
