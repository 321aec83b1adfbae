#include "tank/landed_distribution.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>
#include <utility>
#include <vector>

#include "estimate/interval.hpp"
#include "models/infinity.hpp"
#include "numeric/solve.hpp"
#include "numeric/vector_math.hpp"
#include "tank/known.hpp"
#include "tank/landed_sample.hpp"

namespace blendrisk::tank {
namespace {

constexpr std::size_t k_scramblings = LandedSample::k_scramblings;
/// Weighted points are to be worth as many as there are of others at first.
constexpr double k_worth = static_cast<double>(k_scramblings * LandedSample::k_batch);
/// Batches of each scrambling at most: of points that tell enough but not to the error wanted, and
/// of weighted ones.
constexpr std::size_t k_most_batches = 16;
constexpr std::size_t k_most_weighted = 64;
/// Standard error of a quantile that is small enough: the display shows a tenth of a percent.
constexpr double k_small_error = 2e-5;
/// The error falls as this power of the number of points, or faster.
constexpr double k_rate = 0.85;

/// P(a + b x < y) over a sample, and what it is off by from scrambling to scrambling.
class Share {
 public:
  /// @param spread  standard deviation of the contents
  Share(const LandedSample& sample, double spread)
      : sample_(sample), spread_(spread), f_(sample.a.size()), sum_(numeric::sum(sample.line)) {}

  /// A quantile with its standard error, and the slope of the share there.
  struct Root {
    double y = 0.0, error = 0.0, slope = 0.0;
  };

  /// The content at which the share is `order`, by secants from near it; the first along
  /// near.slope, where that is 0 through a point a little off. Where they do not settle, by a
  /// search.
  Root root(double order, const Root& near) {
    double y = near.y;
    double at = excess(order, y);
    double slope = near.slope;
    double bend = k_slope_off;  // how far the next secant may be off, of its step
    if (!(slope > 0.0)) {
      const double other = y + (at > 0.0 ? -k_chord : k_chord) * spread_;
      const double at_other = excess(order, other);
      slope = (at_other - at) / (other - y);
      bend = k_chord;
      if (std::abs(at_other) < std::abs(at)) std::tie(y, at) = std::pair(other, at_other);
    }
    for (int step = 0; step < k_most_secants && slope > 0.0; ++step) {
      const double by = -at / slope;
      const double along = std::abs(by) / spread_;
      if (!(along < 1.0)) break;
      if (std::abs(by) * (bend + along) <= k_close) return told(order, y + by, slope);
      const double at_next = excess(order, y + by);
      slope = (at_next - at) / by;
      bend = along;
      y += by;
      at = at_next;
    }
    return searched(order, near.y);
  }

 private:
  static constexpr double k_close = 1e-6;
  static constexpr double k_chord = 0.05;     ///< of the spread
  static constexpr double k_slope_off = 0.2;  ///< of one over fewer points
  static constexpr int k_most_secants = 6;

  double excess(double order, double y) {
    sample_.law()->outside(estimate::Side::below, y, sample_.a.data(), sample_.b.data(),
                           sample_.centre, f_);
    for (std::size_t i = 0; i < f_.size(); ++i) f_[i] *= sample_.line[i];
    return numeric::sum(f_) / sum_ - order;
  }

  /// With the error of the shares last asked for, next to the root.
  Root told(double order, double y, double slope) const {
    std::array<double, k_scramblings> parts{};
    for (std::size_t r = 0; r < k_scramblings; ++r) {
      parts[r] =
          (sample_.sum_of(f_, r) - order * sample_.sum_of(sample_.line, r)) / sum_ * k_scramblings;
    }
    const double error = std::sqrt(estimate::mean_of(parts).variance) / slope;
    return {std::clamp(y, 0.0, 1.0), slope > 0.0 ? error : 0.0, slope};
  }

  Root searched(double order, double from) {
    const auto by_content = [&](double y) { return excess(order, y); };
    const double step = k_chord * spread_;
    const numeric::Ends ends = *numeric::bracketed(by_content, from - step, from + step, 2.0 * step,
                                                   -k_infinity, k_infinity);
    const auto close = [](double x, double y) { return std::abs(x - y) < k_close; };
    const double y = ends.at_low == 0.0    ? ends.low
                     : ends.at_high == 0.0 ? ends.high
                                           : numeric::root(by_content, ends, close, 30).middle();
    return told(order, y, (ends.at_high - ends.at_low) / (ends.high - ends.low));
  }

  const LandedSample& sample_;
  double spread_;
  std::vector<double> f_;
  double sum_;
};

/// The quantiles of the drawn contents, with their error by those of each scrambling.
void drawn_quantiles(const LandedSample& sample, std::vector<estimate::Weighted>& values,
                     estimate::Landed& landed) {
  landed.quantiles = estimate::quantiles_of(values);
  std::array<std::vector<double>, estimate::k_quantile_orders.size()> parts;
  for (std::size_t r = 0; r < k_scramblings; ++r) {
    std::vector<estimate::Weighted> part = sample.weighted(r);
    if (part.empty()) continue;
    const std::array<double, 5> quantiles = estimate::quantiles_of(part);
    for (std::size_t i = 0; i < parts.size(); ++i) parts[i].push_back(quantiles[i]);
  }
  for (const std::vector<double>& part : parts) {
    if (part.size() < 2) continue;
    landed.error = std::max(landed.error, std::sqrt(estimate::mean_of(part).variance));
  }
}

using Roots = std::array<Share::Root, estimate::k_quantile_orders.size()>;

/// The quantiles as roots of the conditional share.
/// @param near  those on fewer points, if there are any; told on
void roots(const LandedSample& sample, std::optional<Roots>& near,
           std::vector<estimate::Weighted>& values, estimate::Landed& landed) {
  if (!near) {
    near.emplace();
    const std::array<double, 5> drawn = estimate::quantiles_of(values);
    for (std::size_t i = 0; i < drawn.size(); ++i) (*near)[i].y = drawn[i];
  }
  Share share(sample, landed.standard_deviation);
  for (std::size_t i = 0; i < near->size(); ++i) {
    Share::Root& root = (*near)[i];
    root = share.root(estimate::k_quantile_orders[i], root);
    landed.quantiles[i] = root.y;
    landed.error = std::max(landed.error, root.error);
  }
}

/// Batches that are to bring the error down to what is small enough.
std::size_t batches_for(double error, std::size_t batches) {
  const double times = std::pow(error / k_small_error, 1.0 / k_rate);
  std::size_t wanted = 2 * batches;
  while (wanted < k_most_batches && double(wanted) < times * double(batches)) wanted *= 2;
  return wanted;
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
  LandedSample sample(inputs, conditioned, seed);
  std::optional<Roots> near;
  for (std::size_t batches = 1;;) {
    sample.grow(batches);
    const estimate::Mass mass = estimate::mass_of(sample.all);
    const bool worth = mass.sum > 0.0 && mass.effective() >= k_worth;
    if (!worth && batches < k_most_weighted) {
      batches *= 4;
      continue;
    }
    if (inputs.weighted()) require_any(inputs, mass.sum);
    std::vector<estimate::Weighted> values = sample.weighted();
    const auto [mean, sd] = estimate::moments_of(values);
    estimate::Landed landed{mean, sd};
    if (conditioned && sd > 1e-9) {
      roots(sample, near, values, landed);
    } else {
      drawn_quantiles(sample, values, landed);
    }
    if (!to_an_error || landed.error <= k_small_error || batches >= k_most_batches) {
      return {landed, {.evaluations = sample.size()}};
    }
    batches = batches_for(landed.error, batches);
  }
}

}  // namespace blendrisk::tank
