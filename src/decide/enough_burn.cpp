#include "decide/enough_burn.hpp"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <utility>

#include "decide/variants.hpp"

namespace blendrisk::decide {
namespace {

using estimate::Estimate;
using estimate::MeanOfReplicates;
using estimate::Options;
using line::Line;
using line::Moment;
using line::RailCurve;
using line::Target;

/// More than any tank: fuel that has to be burned beyond it is none to advise.
constexpr double k_far_l = 1000.0;
/// Common points of each of 16 replicates: at first, and at most.
constexpr unsigned k_first_log2 = 8;
constexpr unsigned k_last_log2 = 13;
/// The most points of a round of the estimates that confirm.
constexpr std::uint64_t k_budget = std::uint64_t{1} << 20U;
/// The finest precision that they are asked for.
constexpr double k_finest = 0.003;

constexpr const char* k_few_values =
    "measured values are too few to bear a chance within the accepted risk";

double standard_error(const MeanOfReplicates& mean) {
  return std::sqrt(mean.variance);
}

class BurnSearch {
 public:
  BurnSearch(const Line& line, const Target& target, double about_l, const Options& options,
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
    if (!bracket()) {
      enough.reason = "the last of the old fuel leaves too slowly to bring the chance that low";
      return enough;
    }
    if (high_l_ > 0.0) refine();
    if (!confirm(enough) && enough.reason.empty()) {
      enough.reason =
          "the chance falls so slowly there that no amount can be told to be within the risk";
    }
    return enough;
  }

  std::uint64_t evaluations() const { return evaluations_ + curve_.evaluations(); }

 private:
  /// How far inside the risk the chance lies, one standard error of it allowed for.
  double excess(double burn_l) {
    const MeanOfReplicates mean = curve_.outside(burn_l);
    return mean.mean + standard_error(mean) - risk_;
  }

  /// Sets the ends of an interval with the root; both 0 where nothing has to be burned.
  bool bracket() {
    if (!(excess(0.0) > 0.0)) return true;
    high_l_ = std::max(about_l_, step_l_);
    while (excess(high_l_) > 0.0) {
      low_l_ = high_l_;
      high_l_ *= 2.0;
      if (high_l_ > k_far_l) return false;
    }
    return true;
  }

  double root() {
    const auto close = [this](double a, double b) { return b - a < 0.02 * step_l_; };
    std::uintmax_t steps = 50;
    const auto [low, high] = boost::math::tools::toms748_solve(
        [this](double burn_l) { return excess(burn_l); }, low_l_, high_l_, close, steps);
    return high;
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
  void refine() {
    high_l_ = root();
    for (unsigned log2 = k_first_log2 + 1; log2 <= k_last_log2; log2 += 2) {
      const double error = error_of(high_l_);
      if (error <= 0.25 * step_l_) return;
      curve_.resize(log2);
      const double middle = high_l_;
      double reach = std::clamp(3.0 * error, step_l_, 0.5 * middle + step_l_);
      low_l_ = std::max(middle - reach, 0.0);
      high_l_ = middle + reach;
      while (low_l_ > 0.0 && excess(low_l_) <= 0.0) low_l_ = std::max(low_l_ - (reach *= 2.0), 0.0);
      while (high_l_ < k_far_l && excess(high_l_) > 0.0) high_l_ += (reach *= 2.0);
      if (excess(high_l_) > 0.0) return;
      high_l_ = excess(low_l_) > 0.0 ? root() : low_l_;
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
      const line::RailResult at = line::estimate_rail(line_, target_, moment, fresh, k_budget);
      evaluations_ += at.evaluations;
      if (at.estimate.chance <= risk_ * k_rounding) {
        tell(moment, at.estimate, enough);
        return true;
      }
      if (at.estimate.few_values) {
        enough.reason = k_few_values;
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
  const Target& target_;
  double about_l_;
  const Options& options_;
  double step_l_, risk_;
  RailCurve curve_;
  double low_l_ = 0.0;
  double high_l_ = 0.0;
  double curve_error_ = 0.0;  ///< standard error of the chance on the common points, at the root
  double slope_ = 0.0;        ///< fall of the chance with what is burned, at the root [1/L]
  std::uint64_t evaluations_ = 0;
};

}  // namespace

EnoughBurn solve_enough_burn(const Line& line, const Target& target, const line::Arrival& arrival,
                             const Options& options, double step_l, std::uint64_t& evaluations) {
  if (arrival.never.chance > line.inputs().scenario().limits.accepted_risk) {
    EnoughBurn enough;
    enough.reason = arrival.never.few_values ? k_few_values
                                             : "the tank itself lands outside the limit too often";
    return enough;
  }
  const double about_l = arrival.burn_l ? (*arrival.burn_l)[4] : 1.0;
  BurnSearch search(line, target, about_l, options, step_l);
  EnoughBurn enough = search.run();
  evaluations += search.evaluations();
  return enough;
}

}  // namespace blendrisk::decide
