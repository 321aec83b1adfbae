#include "estimate/sample_size.hpp"

#include <algorithm>
#include <cmath>

#include "estimate/cross_entropy.hpp"
#include "estimate/fits_nearby.hpp"
#include "models/infinity.hpp"

namespace blendrisk::estimate {
namespace {

constexpr unsigned k_without_tilt = 64;
/// Of a mixture and of the inputs' own law, whose replicates' means are further from normal than a
/// tilt's.
constexpr unsigned k_of_mixture = 32;
constexpr std::uint64_t k_smallest_without = 512;  // eight points each
/// Of the largest part of a mixture, whose parts are smaller; and where nothing is fitted.
constexpr unsigned k_first_of_mixture = 4;
constexpr unsigned k_first_of_own = 5;
/// The most points of a round where none of the last one showed a chance at all.
constexpr std::uint64_t k_budget_of_none = std::uint64_t{1} << 18U;
/// Where only that is asked, so many over the risk bound it by a hundredth, but at least these.
constexpr double k_to_a_hundredth = 370.0;
constexpr std::uint64_t k_least_of_none = std::uint64_t{1} << 13U;
/// And where the accepted risk asks for more: a tenth of a second or so.
constexpr std::uint64_t k_most_of_none = std::uint64_t{1} << 24U;
/// Up to here points cost next to nothing, and a round aims at a quarter of the error asked for, at
/// an eighth where the chance is about as large as the risk that it is held against; beyond at
/// three quarters.
constexpr std::uint64_t k_cheap = std::uint64_t{1} << 16U;
constexpr double k_about = 2.0;
/// The decision is served where the chance is known to a tenth and is below the risk by this, or
/// below what reports tell in digits.
constexpr double k_served_precision = 0.1;
constexpr double k_far_below = 1e-3;
constexpr double k_not_told = 1e-10;
/// An effective share below this leaves the interval less sure.
constexpr double k_few_carry = 0.05;

unsigned largest_log2(std::uint64_t budget, unsigned replicates, const Mixture& mixture) {
  unsigned log2 = 0;
  while (log2 < 27 && points_in({replicates, log2 + 1}, mixture) <= budget) ++log2;
  return log2;
}

/// The size of the next round from the relative error of this one. Points in a net of a smooth
/// function gain more than their square root; their square root is what is counted on.
/// @param close  whether the chance is about as large as the risk
Size grown(const Size& size, double relative_error, double precision, bool close,
           const Mixture& mixture, std::uint64_t budget) {
  const auto doublings = [&](double target, double rate) {
    return static_cast<unsigned>(
        std::clamp(std::ceil(std::log2(relative_error / target) / rate), 1.0, 40.0));
  };
  const unsigned last = largest_log2(budget, size.replicates, mixture);
  const Size generous{
      size.replicates,
      std::min(last, size.log2_points + doublings(precision / (close ? 8.0 : 4.0), 1.0))};
  if (points_in(generous, mixture) <= k_cheap) return generous;
  return {size.replicates,
          std::min(last, size.log2_points + std::min(6U, doublings(0.75 * precision, 0.8)))};
}

class Growth {
 public:
  /// @param complement whether the chance asked for is that of the event not happening
  /// @param common     whether the event is common enough to go without importance sampling
  Growth(const Problem& problem, bool complement, bool common, const Options& options,
         Workspace& workspace, const Progress& progress, Fitted* fitted)
      : problem_(problem),
        complement_(complement),
        common_(common),
        options_(options),
        workspace_(workspace),
        progress_(progress),
        fitted_(fitted ? *fitted : fitted_here_) {}

  MeanResult run() {
    if (!options_.cases || *options_.cases >= k_smallest_tilt) fit();
    if (options_.cases) {
      if (points_in({size_.replicates, mixture_.least_log2()}, mixture_) > budget()) mixture_ = {};
      size_.log2_points = largest_log2(budget(), size_.replicates, mixture_);
    }
    result_.effort.tilted = tilted();
    Round round = next_round(0);
    if (!options_.cases) {
      // The first round only sizes the next: accepting it where its error looks small would favour
      // the runs that look better than they are.
      bool room = grow();
      if (room && fitted_ && fitted_->taken && points_in(size_, mixture_) > k_cheap) {
        // What was fitted to another problem does not serve so well.
        fit_anew();
        round = next_round(0);
        room = grow();
      }
      for (std::uint64_t number = 1; room; ++number) {
        round = next_round(number);
        room = !reached() && grow();
      }
    }
    result_.effort.stop = options_.cases || !reached()             ? Stop::budget_spent
                          : relative_error() <= options_.precision ? Stop::precision_reached
                                                                   : Stop::decision_served;
    result_.estimate = student_estimate(result_.mean);
    if (result_.mean.mean == 0.0) {
      result_.estimate = zero_hit_bound(round.evaluations);
    } else {
      result_.less_sure = (!tilted() && !common_) || round.effective_share < k_few_carry;
    }
    return result_;
  }

 private:
  /// 16 replicates of 8 tilted points and one each of the others.
  static constexpr std::uint64_t k_smallest_tilt = 160;

  std::uint64_t budget() const { return std::min(*options_.cases, problem_.budget); }
  /// 1 − 0.025^(1/n) is within half the risk, for two sides, from n = 7.4/risk on; rounds stop
  /// within a half of this.
  std::uint64_t budget_of_none() const {
    const double scale = problem_.known ? problem_.known->worth / problem_.known->chance.mean : 1.0;
    if (options_.decides && problem_.risk > 0.0) {
      const double hundredth = std::min(k_to_a_hundredth / (problem_.risk * scale), 1e18);
      return std::min({std::max(k_least_of_none, static_cast<std::uint64_t>(hundredth)),
                       k_budget_of_none, problem_.budget});
    }
    const double wanted = problem_.risk > 0.0 ? 16.0 / (problem_.risk * scale) : 0.0;
    const auto most = static_cast<double>(std::min(problem_.budget, k_most_of_none));
    const auto asked =
        std::max(k_budget_of_none, static_cast<std::uint64_t>(std::min(wanted, most)));
    return std::min(asked, problem_.budget);
  }
  bool tilted() const { return mixture_.tilted(); }

  void fit() {
    if (common_ || !options_.importance_sampling) {
      start_at(k_first_of_own);
      return;
    }
    if (!fitted_) fitted_ = fit_importance(problem_, workspace_);
    mixture_ = fitted_->mixture;
    result_.effort.evaluations += fitted_->evaluations;
    if (!mixture_.parts.empty()) start_at(k_first_of_mixture);
    if (!tilted() && (!options_.cases || *options_.cases >= k_smallest_without)) {
      size_.replicates = k_without_tilt;
    }
  }

  /// Sizes the first round of a mixture or of the inputs' own law.
  void start_at(unsigned log2_points) {
    size_.log2_points = log2_points;
    if (!options_.cases) size_.replicates = k_of_mixture;
  }

  void fit_anew() {
    Problem alone = problem_;
    alone.nearby = nullptr;
    fitted_ = fit_importance(alone, workspace_);
    fitted_->nearby = problem_.nearby->add(problem_, fitted_->mixture);
    size_ = {};
    fit();
  }

  Round next_round(std::uint64_t number) {
    std::function<void(std::uint64_t)> tell;
    const std::uint64_t before = result_.effort.evaluations;
    const std::uint64_t points = points_in(size_, mixture_);
    if (progress_) {
      tell = [&](std::uint64_t done) { progress_(before + done, before + points); };
    }
    Round round = shares(points) ? drawn(number)->look(problem_, workspace_)
                                 : run_round(problem_, mixture_, size_, number, options_.threads,
                                             workspace_, tell);
    result_.effort.evaluations += round.evaluations;
    result_.mean = mean_of(round.means);
    return round;
  }

  /// Whether points are kept for other looks, or taken from earlier ones.
  bool shares(std::uint64_t points) const {
    if (!problem_.nearby || options_.threads != 1 || points > k_cheap) return false;
    return !tilted() || fitted_->nearby;
  }
  std::shared_ptr<const DrawnRound> drawn(std::uint64_t number) {
    const NearbyFit* under = tilted() ? fitted_->nearby : nullptr;
    return problem_.nearby->drawn(problem_, mixture_, under, size_, number, workspace_);
  }

  double relative_error() const {
    const double chance = complement_ ? 1.0 - result_.mean.mean : result_.mean.mean;
    if (result_.mean.mean > 0.0) return std::sqrt(result_.mean.variance) / chance;
    // No point at all: nothing is known of a rare chance, and enough of one close to 1.
    return complement_ ? zero_hit_bound(points_in(size_, mixture_)).interval[1] : k_infinity;
  }

  /// The relative error to reach, by what is known of the chance.
  double wanted() const {
    if (!options_.decision_serves || complement_) return options_.precision;
    const double most = student_estimate(result_.mean).interval[1];
    const bool served = most < std::max(k_far_below * problem_.risk, k_not_told);
    return served ? std::max(k_served_precision, options_.precision) : options_.precision;
  }
  bool reached() const {
    return relative_error() <= wanted() ||
           (result_.mean.mean > 0.0 && std::sqrt(result_.mean.variance) <= options_.small_error);
  }

  /// Sets the size of the next round. @return whether the budget has room for one
  bool grow() {
    const bool none = !(result_.mean.mean > 0.0);
    const std::uint64_t points = points_in(size_, mixture_);
    if (2 * points > (none ? budget_of_none() : problem_.budget)) return false;
    if (none) {
      size_.log2_points = std::min(size_.log2_points + 4,
                                   largest_log2(budget_of_none(), size_.replicates, mixture_));
    } else {
      const double chance = complement_ ? 1.0 - result_.mean.mean : result_.mean.mean;
      const bool close = problem_.risk < k_about * chance && chance < k_about * problem_.risk;
      size_ = grown(size_, relative_error(), wanted(), close, mixture_, problem_.budget);
    }
    return true;
  }

  const Problem& problem_;
  bool complement_, common_;
  const Options& options_;
  Workspace& workspace_;
  const Progress& progress_;
  Fitted fitted_here_;
  Fitted& fitted_;
  Mixture mixture_;
  Size size_;
  MeanResult result_;
};

/// The chance that the event does not happen.
class Complement : public Integrand {
 public:
  explicit Complement(const Integrand& event) : event_(event) {}
  void evaluate(sampling::CaseBatch& batch, BlendColumns& columns, std::span<double> f,
                std::span<double> limit_state) const override {
    event_.evaluate(batch, columns, f, limit_state);
    for (double& chance : f) chance = 1.0 - chance;
    for (double& near : limit_state) near = -near;
  }

 private:
  const Integrand& event_;
};

/// From the estimate of the complement.
MeanResult turned(MeanResult result) {
  result.mean.mean = 1.0 - result.mean.mean;
  Estimate& estimate = result.estimate;
  estimate.chance = 1.0 - estimate.chance;
  estimate.interval = {1.0 - estimate.interval[1], 1.0 - estimate.interval[0]};
  estimate.upper_bound_only = false;
  return result;
}

MeanResult exact_mean(const Problem& problem, Workspace& workspace) {
  double f = 0.0;
  problem.integrand->evaluate(workspace.batch, workspace.columns, {&f, 1}, {});
  MeanResult result;
  result.mean = {f, 0.0, 0.0};
  result.estimate = exact_estimate(f);
  result.effort.evaluations = 1;
  return result;
}

}  // namespace

namespace {

MeanResult estimate_joint(const Problem& problem, const Options& options, Workspace& workspace,
                          const Progress& progress, Fitted* fitted) {
  if (problem.sampler.empty()) return exact_mean(problem, workspace);
  std::uint64_t evaluations = 0;
  const double rough = rough_chance(problem, workspace, evaluations);
  const bool likely = rough > 0.5;
  const bool common = is_common(problem, std::min(rough, 1.0 - rough));
  const Complement complement(*problem.integrand);
  Problem rarer = problem;
  if (likely) rarer.integrand = &complement;
  MeanResult result = Growth(rarer, likely, common, options, workspace, progress, fitted).run();
  result.effort.evaluations += evaluations;
  return likely ? turned(result) : result;
}

}  // namespace

MeanResult estimate_mean(const Problem& problem, const Options& options, Workspace& workspace,
                         const Progress& progress, Fitted* fitted) {
  if (!problem.known) return estimate_joint(problem, options, workspace, progress, fitted);
  Problem joint = problem;
  joint.risk *= problem.known->chance.mean;
  MeanResult result = estimate_joint(joint, options, workspace, progress, fitted);
  const bool seen = result.mean.mean > 0.0;
  result.mean = given(result.mean, problem.known);
  if (seen) {
    result.estimate = student_estimate(result.mean);
  } else {
    // So many points of the weighted law showed none.
    const double most = result.estimate.interval[1] / problem.known->worth;
    result.estimate.interval[1] = std::min(1.0, most);
  }
  return result;
}

}  // namespace blendrisk::estimate
