#include "decide/enough_burn.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "decide/variants.hpp"
#include "numeric/solve.hpp"
#include "tank/within_risk.hpp"

namespace blendrisk::decide {
namespace {

using estimate::Estimate;
using estimate::Limit;
using estimate::MeanOfReplicates;
using estimate::Options;
using line::Line;
using line::Moment;
using line::RailCurve;

/// More than any tank: fuel that has to be burned beyond it is none to advise.
constexpr double k_far_l = 1000.0;
/// Common points of each of 16 replicates: at first, and at most.
constexpr unsigned k_first_log2 = 8;
constexpr unsigned k_last_log2 = 13;
/// The most points of a round of the estimates that confirm.
constexpr std::uint64_t k_budget = std::uint64_t{1} << 20U;
/// The finest precision that they are asked for.
constexpr double k_finest = 0.003;

double standard_error(const MeanOfReplicates& mean) {
  return std::sqrt(mean.variance);
}

class BurnSearch {
 public:
  BurnSearch(const Line& line, const Limit& target, double about_l, const Options& options,
             double step_l)
      : line_(line),
        target_(target),
        about_l_(about_l),
        options_(options),
        step_l_(step_l),
        risk_(line.inputs().scenario().limits.accepted_risk),
        curve_(line, target, about_l, options) {}

  EnoughBurn run() {
    EnoughBurn enough;
    // Nothing has to be burned where the chance is within the risk at once.
    const double at_once = excess(0.0);
    if (at_once > 0.0) {
      const double high = std::max(about_l_, step_l_);
      const auto ends = bracketed({0.0, high, -at_once, -excess(high)}, high);
      if (!ends) {
        enough.why_none = NoBurn::leaves_slowly;
        return enough;
      }
      refine(*ends);
    }
    if (!confirm(enough) && !enough.why_none) enough.why_none = NoBurn::falls_slowly;
    return enough;
  }

  std::uint64_t evaluations() const { return evaluations_ + curve_.evaluations(); }

 private:
  /// How far inside the risk the chance lies, one standard error of it allowed for.
  double excess(double burn_l) {
    const MeanOfReplicates mean = curve_.outside(burn_l);
    return mean.mean + standard_error(mean) - risk_;
  }

  std::optional<numeric::Ends> bracketed(const numeric::Ends& ends, double step) {
    return numeric::bracketed([this](double burn_l) { return -excess(burn_l); }, ends, step, 0.0,
                              k_far_l);
  }

  double root(const numeric::Ends& ends) {
    const auto close = [this](double a, double b) { return b - a < 0.02 * step_l_; };
    return numeric::root([this](double burn_l) { return -excess(burn_l); }, ends, close, 50).high;
  }

  /// The root's error: that of the chance over its slope, taken over a few steps.
  double error_of(double burn_l) {
    const double reach = std::max(5.0 * step_l_, 0.05 * burn_l);
    const MeanOfReplicates here = curve_.outside(burn_l);
    const MeanOfReplicates beyond = curve_.outside(burn_l + reach);
    slope_ = std::max(here.mean - beyond.mean, 0.0) / reach;
    curve_error_ = standard_error(here);
    return curve_error_ > 0.0 ? std::min(curve_error_ / slope_, k_far_l) : 0.0;
  }

  /// More points until the root is known to a quarter of a step.
  void refine(const numeric::Ends& first) {
    high_l_ = root(first);
    for (unsigned log2 = k_first_log2 + 1; log2 <= k_last_log2; log2 += 2) {
      const double error = error_of(high_l_);
      if (error <= 0.25 * step_l_) return;
      curve_.resize(log2);
      const double reach = std::clamp(3.0 * error, step_l_, 0.5 * high_l_ + step_l_);
      const double low = std::max(high_l_ - reach, 0.0);
      const double high = high_l_ + reach;
      const auto ends = bracketed({low, high, -excess(low), -excess(high)}, 2.0 * reach);
      if (!ends) {
        high_l_ = excess(0.0) > 0.0 ? k_far_l : 0.0;
        return;
      }
      high_l_ = root(*ends);
    }
  }

  /// Rounds up and moves outward until a fresh estimate is within the risk.
  bool confirm(EnoughBurn& enough) {
    Options fresh = for_solving(options_);
    error_of(high_l_);
    // To a quarter of a step of the amount.
    const double wanted = 0.25 * slope_ * step_l_ / risk_;
    fresh.precision = std::min(fresh.precision, std::max(wanted, k_finest));
    // What was found to within a fiftieth of a step is not rounded up a whole one.
    double steps = std::ceil(high_l_ / step_l_ - 0.02);
    for (int tries = 0; tries <= k_most_steps && steps * step_l_ < k_far_l; ++tries) {
      const Moment moment{Moment::By::burned, rounded(steps * step_l_, step_l_)};
      const estimate::Result at = line::estimate_rail(line_, target_, moment, fresh, k_budget);
      evaluations_ += at.effort.evaluations;
      if (at.estimate.chance <= risk_ * tank::k_rounding) {
        tell(moment, at.estimate, enough);
        return true;
      }
      if (at.estimate.few_values) {
        enough.why_none = NoBurn::few_values;
        return false;
      }
      const double short_by = slope_ > 0.0 ? (at.estimate.chance - risk_) / slope_ / step_l_ : 0.0;
      steps += std::clamp(std::ceil(short_by), 1.0, 0.25 * steps + 1.0);
    }
    return false;
  }

  void tell(const Moment& moment, const Estimate& outside, EnoughBurn& enough) const {
    enough.burn_l = moment.value;
    enough.outside = outside;
    const double error = std::hypot(curve_error_, outside.standard_error);
    if (moment.value > 0.0 && error > 0.0) {
      enough.standard_error_l = std::min(error / slope_, k_far_l);
    }
    if (!line_.has_rates()) return;
    const line::LineCase typical = line_.typical();
    enough.time_s = typical.time_once_passed(typical.passed(moment));
  }

  const Line& line_;
  const Limit& target_;
  double about_l_;
  const Options& options_;
  double step_l_, risk_;
  RailCurve curve_;
  double high_l_ = 0.0;
  double curve_error_ = 0.0;  ///< standard error of the chance on the common points, at the root
  double slope_ = 0.0;        ///< fall of the chance with what is burned, at the root [1/L]
  std::uint64_t evaluations_ = 0;
};

}  // namespace

EnoughBurn solve_enough_burn(const Line& line, const Limit& target, const line::Arrival& arrival,
                             const Options& options, double step_l) {
  if (arrival.never.chance > line.inputs().scenario().limits.accepted_risk) {
    EnoughBurn enough;
    enough.why_none = arrival.never.few_values ? NoBurn::few_values : NoBurn::tank;
    return enough;
  }
  const double about_l = arrival.burn_l ? (*arrival.burn_l)[4] : 1.0;
  BurnSearch search(line, target, about_l, options, step_l);
  EnoughBurn enough = search.run();
  enough.effort.evaluations = search.evaluations();
  return enough;
}

}  // namespace blendrisk::decide
