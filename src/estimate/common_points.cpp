#include "estimate/common_points.hpp"

#include "estimate/cross_entropy.hpp"

namespace blendrisk::estimate {

void CommonPoints::fit(Workspace& workspace) {
  if (problem_.sampler.empty()) return;
  Fit fitted = fit_tilt(problem_, workspace);
  mixture_.strengths = std::move(fitted.strengths);
  evaluations_ += fitted.evaluations;
}

MeanOfReplicates CommonPoints::mean(const Size& size, unsigned threads, Workspace& workspace) {
  if (problem_.sampler.empty()) {
    double chance = 0.0;
    problem_.integrand->evaluate(workspace.batch, workspace.columns, {&chance, 1}, {});
    ++evaluations_;
    return {chance, 0.0, 0.0};
  }
  const Round round =
      run_round(problem_, mixture_, size, sampling::k_common_round, threads, workspace, {});
  evaluations_ += round.evaluations;
  return mean_of(round.means);
}

}  // namespace blendrisk::estimate
