#include "estimate/common_points.hpp"

#include <algorithm>
#include <utility>

#include "estimate/cross_entropy.hpp"
#include "estimate/fits_nearby.hpp"

namespace blendrisk::estimate {
namespace {

/// Of the points of a replicate that are kept whatever else is looked at.
constexpr unsigned k_few_log2 = 8;
/// A mixture that was fitted elsewhere tells a chance roughly where as many points carry it.
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
  if (serves(problem_, mixture_, workspace, evaluations_)) return;
  if (mixture_.tilted()) ++mixtures_;
  mixture_ = {};
  mixed_.clear();
  nearby_ = nullptr;
  const bool log_concave = problem_.inputs().log_concave();
  if (!log_concave && is_common(problem_, rough_chance(problem_, workspace, evaluations_))) return;
  Fit fitted = fit_importance(problem_, workspace);
  mixture_ = std::move(fitted.mixture);
  nearby_ = fitted.nearby;
  if (mixture_.tilted()) ++mixtures_;
  evaluations_ += fitted.evaluations;
}

MeanOfReplicates CommonPoints::mean(const Size& size, unsigned threads, Workspace& workspace) {
  return told(round(false, shared(size, mixture_), threads, workspace));
}

MeanOfReplicates CommonPoints::own_mean(const Size& size, Workspace& workspace) {
  return told(round(true, size, 1, workspace));
}

std::optional<MeanOfReplicates> CommonPoints::kept_mean(const Size& size, Workspace& workspace) {
  if (!mixture_.tilted()) return {};
  const Round one = round(false, shared(size, mixture_), 1, workspace);
  const double carry = one.effective_share * static_cast<double>(one.evaluations);
  if (carry < k_carry_kept) return {};
  return told(one);
}

MeanOfReplicates CommonPoints::told(const Round& round) const {
  return given(mean_of(round.means), problem_.known);
}

Round CommonPoints::round(bool own, const Size& size, unsigned threads, Workspace& workspace) {
  Round result;
  if (problem_.sampler.empty()) {
    result.means.resize(2);
    problem_.integrand->evaluate(workspace.batch, workspace.columns, {result.means.data(), 1}, {});
    result.means[1] = result.means[0];
    result.evaluations = 1;
  } else if (threads == 1) {
    result = drawn(own || !mixture_.tilted(), size, workspace).look(problem_, workspace);
  } else {
    result = run_round(problem_, own ? Mixture{} : mixture_, size, sampling::k_common_round,
                       threads, workspace, {});
  }
  evaluations_ += result.evaluations;
  return result;
}

const DrawnRound& CommonPoints::drawn(bool own, const Size& size, Workspace& workspace) {
  DrawnRounds& rounds = own ? own_ : mixed_;
  constexpr std::uint64_t number = sampling::k_common_round;
  if (const auto same = round_among(rounds, problem_, size, number)) return *same;
  const NearbyFit* under = own ? nullptr : nearby_;
  const Mixture mixture = own ? Mixture{} : mixture_;
  auto round = problem_.nearby && (own || nearby_)
                   ? problem_.nearby->drawn(problem_, mixture, under, size, number, workspace)
                   : std::make_shared<const DrawnRound>(problem_, mixture, size, number, workspace);
  // Of many points no more than one.
  std::erase_if(rounds, [](const auto& one) { return one->size().log2_points > k_few_log2; });
  rounds.push_back(std::move(round));
  return *rounds.back();
}

}  // namespace blendrisk::estimate
