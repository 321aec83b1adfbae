#include "estimate/mean.hpp"

#include <algorithm>
#include <bit>
#include <cmath>

#include "estimate/lean_fit.hpp"

namespace blendrisk::estimate {
namespace {

constexpr unsigned kWithoutLean = 64;
/// The most points of a round, and the most where none of them showed a chance at all.
constexpr std::uint64_t kBudget = std::uint64_t{1} << 27U;
constexpr std::uint64_t kBudgetOfNone = std::uint64_t{1} << 18U;
/// Up to here points cost next to nothing, and a round aims at an eighth of the error asked for;
/// beyond at three quarters.
constexpr std::uint64_t kCheap = std::uint64_t{1} << 18U;
/// An effective share below this leaves the interval less sure.
constexpr double kFewCarry = 0.05;

unsigned largest_log2(std::uint64_t budget, unsigned replicates, bool leaned) {
  unsigned log2 = 0;
  while (log2 < 27 && points_in({replicates, log2 + 1}, leaned) <= budget) ++log2;
  return log2;
}

/// The size of the next round from the relative error of this one. Points in a net of a smooth
/// function gain more than their square root; their square root is what is counted on.
Size grown(const Size& size, double relative_error, double precision, bool leaned) {
  const auto doublings = [&](double target, double rate) {
    return static_cast<unsigned>(
        std::clamp(std::ceil(std::log2(relative_error / target) / rate), 1.0, 40.0));
  };
  const unsigned last = largest_log2(kBudget, size.replicates, leaned);
  const Size generous{size.replicates,
                      std::min(last, size.log2_points + doublings(precision / 8.0, 1.0))};
  if (points_in(generous, leaned) <= kCheap) return generous;
  return {size.replicates,
          std::min(last, size.log2_points + std::min(6U, doublings(0.75 * precision, 0.8)))};
}

class Growth {
 public:
  Growth(const Problem& problem, const Options& options, Workspace& workspace,
         const Progress& progress)
      : problem_(problem), options_(options), workspace_(workspace), progress_(progress) {}

  MeanResult run() {
    if (options_.cases && *options_.cases < kSmallestLean) {
      size_.log2_points = largest_log2(*options_.cases, size_.replicates, false);
    } else {
      fit();
      if (options_.cases) {
        size_.log2_points = largest_log2(*options_.cases, size_.replicates, leaned());
      }
    }
    result_.leaned = leaned();
    Round round = next_round(0);
    for (std::uint64_t number = 1; !options_.cases && !done(); ++number) round = next_round(number);
    if (options_.cases && !(relative_error() <= options_.precision)) {
      result_.stop = Stop::budget_spent;
    }
    result_.estimate = student_estimate(result_.mean);
    if (result_.mean.mean == 0.0) {
      result_.estimate = no_hits(round.evaluations);
    } else {
      result_.less_sure = !leaned() || round.effective_share < kFewCarry;
    }
    return result_;
  }

 private:
  /// 16 replicates of 8 leaned points and one other.
  static constexpr std::uint64_t kSmallestLean = 16 * 9;

  bool leaned() const { return !strengths_.empty(); }

  void fit() {
    Fit fitted = fit_lean(problem_, workspace_);
    strengths_ = std::move(fitted.strengths);
    result_.evaluations += fitted.evaluations;
    if (!leaned() && (!options_.cases || *options_.cases >= 4 * kWithoutLean)) {
      size_.replicates = kWithoutLean;
    }
  }

  Round next_round(std::uint64_t number) {
    std::function<void(std::uint64_t)> tell;
    const std::uint64_t before = result_.evaluations;
    const std::uint64_t points = points_in(size_, leaned());
    if (progress_) {
      tell = [&](std::uint64_t done) { progress_(before + done, before + points); };
    }
    Round round =
        run_round(problem_, strengths_, size_, number, options_.threads, workspace_, tell);
    result_.evaluations += round.evaluations;
    result_.mean = mean_of(round.means);
    return round;
  }

  double relative_error() const {
    return result_.mean.mean > 0.0 ? std::sqrt(result_.mean.variance) / result_.mean.mean
                                   : std::numeric_limits<double>::infinity();
  }

  /// Sets the next size where it is not.
  bool done() {
    if (relative_error() <= options_.precision) return true;
    const bool none = !(result_.mean.mean > 0.0);
    const std::uint64_t points = points_in(size_, leaned());
    if (2 * points > (none ? kBudgetOfNone : kBudget)) {
      result_.stop = Stop::budget_spent;
      return true;
    }
    if (none) {
      size_.log2_points =
          std::min(size_.log2_points + 4, largest_log2(kBudgetOfNone, size_.replicates, leaned()));
    } else {
      size_ = grown(size_, relative_error(), options_.precision, leaned());
    }
    return false;
  }

  const Problem& problem_;
  const Options& options_;
  Workspace& workspace_;
  const Progress& progress_;
  sampling::Strengths strengths_;
  Size size_;
  MeanResult result_;
};

MeanResult exact_mean(const Problem& problem, Workspace& workspace) {
  double f = 0.0;
  problem.integrand->evaluate(workspace.batch, workspace.columns, {&f, 1}, {});
  MeanResult result;
  result.mean = {f, 0.0, 0.0};
  result.estimate = exact_estimate(f);
  result.evaluations = 1;
  result.stop = Stop::exact;
  return result;
}

}  // namespace

MeanResult estimate_mean(const Problem& problem, const Options& options, Workspace& workspace,
                         const Progress& progress) {
  if (problem.slots.empty()) return exact_mean(problem, workspace);
  return Growth(problem, options, workspace, progress).run();
}

}  // namespace blendrisk::estimate
