#include "estimate/common_points.hpp"

#include <algorithm>

#include "estimate/cross_entropy.hpp"

namespace blendrisk::estimate {
namespace {

/// A mixture that was fitted nearby is kept where so large a share of so many points carries the
/// sum.
constexpr double k_fits = 0.2;
constexpr unsigned k_log2_to_see = 7;
/// One that was fitted elsewhere tells a chance roughly where as many points carry it.
constexpr double k_carry_kept = 30.0;

/// The parts of a mixture share what one tilt would have.
Size shared(Size size, const Mixture& mixture) {
  const std::uint64_t most = (std::uint64_t{3} * size.replicates << size.log2_points) / 2;
  while (size.log2_points > mixture.least_log2() && points_in(size, mixture) > most) {
    --size.log2_points;
  }
  return size;
}

}  // namespace

void CommonPoints::fit(Workspace& workspace) {
  if (problem_.sampler.empty()) return;
  if (still_fits(workspace)) return;
  mixture_ = {};
  const bool log_concave = problem_.inputs().log_concave();
  if (!log_concave && is_common(problem_, rough_chance(problem_, workspace, evaluations_))) return;
  Fit fitted = fit_importance(problem_, workspace);
  mixture_ = std::move(fitted.mixture);
  evaluations_ += fitted.evaluations;
}

bool CommonPoints::still_fits(Workspace& workspace) {
  if (mixture_.parts.empty()) return false;
  const Size size{1, std::max(k_log2_to_see, mixture_.least_log2())};
  const Round round =
      run_round(problem_, mixture_, size, sampling::k_likelier_round, 1, workspace, {});
  evaluations_ += round.evaluations;
  return round.means[0] < k_common && round.effective_share > k_fits;
}

MeanOfReplicates CommonPoints::mean(const Size& size, unsigned threads, Workspace& workspace) {
  return told(round(mixture_, shared(size, mixture_), threads, workspace));
}

MeanOfReplicates CommonPoints::own_mean(const Size& size, Workspace& workspace) {
  return told(round({}, size, 1, workspace));
}

std::optional<MeanOfReplicates> CommonPoints::kept_mean(const Size& size, Workspace& workspace) {
  if (!mixture_.tilted()) return {};
  const Round one = round(mixture_, shared(size, mixture_), 1, workspace);
  const double carry = one.effective_share * static_cast<double>(one.evaluations);
  if (carry < k_carry_kept) return {};
  return told(one);
}

MeanOfReplicates CommonPoints::told(const Round& round) const {
  return given(mean_of(round.means), problem_.known);
}

Round CommonPoints::round(const Mixture& mixture, const Size& size, unsigned threads,
                          Workspace& workspace) {
  Round result;
  if (problem_.sampler.empty()) {
    result.means.resize(2);
    problem_.integrand->evaluate(workspace.batch, workspace.columns, {result.means.data(), 1}, {});
    result.means[1] = result.means[0];
    result.evaluations = 1;
  } else {
    result = run_round(problem_, mixture, size, sampling::k_common_round, threads, workspace, {});
  }
  evaluations_ += result.evaluations;
  return result;
}

}  // namespace blendrisk::estimate
