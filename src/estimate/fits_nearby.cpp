#include "estimate/fits_nearby.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace blendrisk::estimate {
namespace {

/// A mixture serves where so large a share of so many points carries the sum.
constexpr double k_share_that_serves = 0.2;
constexpr unsigned k_log2_to_judge = 7;
/// The most that are tried.
constexpr std::size_t k_tries = 2;
/// Numbers that are kept, of the first and of those that go on from it: 32 and 8 MB.
constexpr std::size_t k_kept_values_of_first = std::size_t{1} << 22U;
constexpr std::size_t k_kept_values = std::size_t{1} << 20U;

/// What may differ from one problem to the next, as shares of the tank.
std::vector<double> numbers_of(const scenario::Scenario& scenario) {
  const double all = scenario.tank.capacity_l;
  std::vector<double> numbers{scenario.heel.indicated_l / all};
  for (const scenario::Fill& fill : scenario.fills) {
    numbers.push_back(std::min(fill.amount_l.value_or(all) / all, 1.0));
    numbers.push_back(fill.indicated_l.value_or(0.0) / all);
  }
  return numbers;
}

double distance(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0.0;
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) sum += std::abs(a[i] - b[i]);
  return sum;
}

/// The mixture of the inputs at hand, the parts' shares as they are; none where others are drawn.
std::optional<Mixture> marginal(const NearbyFit& one, const Problem& problem) {
  std::vector<std::size_t> from;
  for (const std::size_t slot : problem.sampler.slots()) {
    const auto place = std::find(one.slots.begin(), one.slots.end(), slot);
    if (place == one.slots.end()) return {};
    from.push_back(static_cast<std::size_t>(place - one.slots.begin()));
  }
  Mixture mixture = one.mixture;
  for (Mixture::Part& part : mixture.parts) {
    const sampling::Component whole = part.component;
    part.component = sampling::own_component(from.size());
    for (std::size_t d = 0; d < from.size(); ++d) {
      part.component.mean[d] = whole.mean[from[d]];
      part.component.sd[d] = whole.sd[from[d]];
    }
  }
  return mixture;
}

}  // namespace

bool serves(const Problem& problem, const Mixture& mixture, Workspace& workspace,
            std::uint64_t& evaluations) {
  if (mixture.parts.empty()) return false;
  const Size size{1, std::max(k_log2_to_judge, mixture.least_log2())};
  const Round round =
      run_round(problem, mixture, size, sampling::k_likelier_round, 1, workspace, {});
  evaluations += round.evaluations;
  return round.means[0] < k_common && round.effective_share > k_share_that_serves;
}

const NearbyFit* FitsNearby::add(const Problem& problem, const Mixture& mixture) {
  if (mixture.parts.empty()) return nullptr;
  fits_.push_back({problem.sampler.slots(), numbers_of(problem.inputs().scenario()), mixture});
  return &fits_.back();
}

std::optional<FitsNearby::Serving> FitsNearby::serving(const Problem& problem, Workspace& workspace,
                                                       std::uint64_t& evaluations) const {
  if (before_ == nullptr) return {};
  const std::vector<double> here = numbers_of(problem.inputs().scenario());
  struct Near {
    double distance;
    const NearbyFit* one;
  };
  std::vector<Near> nearest;
  // The latest first.
  for (const FitsNearby* some = this; some != nullptr; some = some->before_) {
    for (std::size_t i = some->fits_.size(); i-- > 0;) {
      nearest.push_back({distance(some->fits_[i].numbers, here), &some->fits_[i]});
    }
  }
  std::stable_sort(nearest.begin(), nearest.end(),
                   [](const Near& a, const Near& b) { return a.distance < b.distance; });
  for (std::size_t i = 0; i < std::min(nearest.size(), k_tries); ++i) {
    std::optional<Mixture> mixture = marginal(*nearest[i].one, problem);
    if (mixture && serves(problem, *mixture, workspace, evaluations)) {
      return Serving{std::move(*mixture), nearest[i].one};
    }
  }
  return {};
}

std::shared_ptr<const DrawnRound> FitsNearby::round(const Problem& problem, const NearbyFit* under,
                                                    const Size& size, std::uint64_t number) const {
  for (const FitsNearby* some = this; some != nullptr; some = some->before_) {
    const auto rounds = some->rounds_.find(under);
    if (rounds == some->rounds_.end()) continue;
    if (auto round = round_among(rounds->second, problem, size, number)) return round;
  }
  return {};
}

std::shared_ptr<const DrawnRound> FitsNearby::drawn(const Problem& problem, const Mixture& mixture,
                                                    const NearbyFit* under, const Size& size,
                                                    std::uint64_t number, Workspace& workspace) {
  if (auto kept = round(problem, under, size, number)) return kept;
  auto fresh = std::make_shared<const DrawnRound>(problem, mixture, size, number, workspace);
  keep(fresh, under);
  return fresh;
}

void FitsNearby::keep(const std::shared_ptr<const DrawnRound>& round, const NearbyFit* under) {
  const std::size_t most = before_ ? k_kept_values : k_kept_values_of_first;
  if (kept_values_ + round->values() > most) return;
  kept_values_ += round->values();
  rounds_[under].push_back(round);
}

std::shared_ptr<const DrawnRound> round_among(const DrawnRounds& rounds, const Problem& problem,
                                              const Size& size, std::uint64_t number) {
  for (const auto& round : rounds) {
    if (round->size() == size && round->number() == number && round->serves(problem)) return round;
  }
  return {};
}

}  // namespace blendrisk::estimate
