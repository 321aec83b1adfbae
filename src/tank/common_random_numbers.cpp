#include "tank/common_random_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "estimate/interval.hpp"
#include "tank/known.hpp"

namespace blendrisk::tank {
namespace {

constexpr unsigned k_at_ends = 6;  // log2 of the points: a tenth is close enough there
/// Of a chance that is clearly on one side of a risk: by so many standard errors and this factor.
constexpr double k_sure = 4.0;
constexpr double k_clearly = 1.35;
/// Of the points of the own law in each replicate, one number after the other.
constexpr std::array<unsigned, 2> k_rough_log2{4, 6};

}  // namespace

CommonRandomNumbers::CommonRandomNumbers(scenario::Scenario scenario, std::uint64_t seed,
                                         unsigned log2_points, estimate::SidesNearby* nearby)
    : CommonRandomNumbers(std::move(scenario), seed, log2_points, nearby, true) {}

CommonRandomNumbers::CommonRandomNumbers(scenario::Scenario scenario, std::uint64_t seed,
                                         unsigned log2_points, estimate::SidesNearby* nearby,
                                         bool beyond_measured)
    : question_(std::move(scenario)), workspace_(question_.inputs()) {
  size_.log2_points = log2_points;
  const sampling::CaseInputs& inputs = question_.inputs();
  const Condition condition = condition_of(inputs);
  estimate::Options options;
  options.seed = seed;
  options.threads = 1;
  const auto known = chance_of_known(inputs, options);
  for (const estimate::Limit& limit : estimate::limits_of(question_.scenario().limits)) {
    auto integrand = outside_limit(inputs, condition, limit);
    estimate::Problem problem = outside_problem(inputs, condition, limit, *integrand, seed);
    problem.known = known;
    if (nearby) problem.nearby = &nearby->of(limit.side);
    estimate::CommonPoints points(std::move(problem));
    sides_.push_back({limit.side, std::move(integrand), std::move(points)});
  }
  if (!beyond_measured) return;
  for (estimate::MeasuredInput& input : estimate::measured_inputs(inputs)) {
    const auto end = [&](std::size_t which) {
      return std::unique_ptr<CommonRandomNumbers>(new CommonRandomNumbers(
          at_end(question_.scenario(), input, which), seed, k_at_ends, nullptr, false));
    };
    Beyond beyond{{}, {end(0), end(1)}};
    beyond.input = std::move(input);
    measured_.push_back(std::move(beyond));
  }
}

void CommonRandomNumbers::fit() {
  fit_roughly();
  ends_fitted_ = false;
}

void CommonRandomNumbers::fit_roughly() {
  for (OneSide& side : sides_) side.points.fit(workspace_);
}

Sides CommonRandomNumbers::sides() {
  Sides chances = own_sides();
  chances.least = least(chances.outside());
  return chances;
}

double CommonRandomNumbers::most_least() const {
  double most = 0.0;
  for (const Beyond& beyond : measured_) most += beyond.input.share();
  return most;
}

/// Where the chance is not below all that could be added, nothing is computed.
double CommonRandomNumbers::least(double chance) {
  if (!(chance < most_least())) return 0.0;
  double sum = 0.0;
  for (Beyond& beyond : measured_) {
    std::array<double, 2> ends{};
    for (std::size_t end = 0; end < 2; ++end) {
      CommonRandomNumbers& at = *beyond.at[end];
      // What may vary, as it stands here.
      const scenario::Scenario& here = question_.scenario();
      at.scenario().heel.indicated_l = here.heel.indicated_l;
      for (std::size_t i = 0; i < here.fills.size(); ++i) {
        at.scenario().fills[i].amount_l = here.fills[i].amount_l;
        at.scenario().fills[i].indicated_l = here.fills[i].indicated_l;
      }
      ends[end] = at.outside_at_end(chance, !ends_fitted_);
    }
    sum += estimate::added(beyond.input, chance, ends);
  }
  ends_fitted_ = true;
  return std::min(sum, 1.0);
}

double CommonRandomNumbers::outside_at_end(double chance, bool afresh) {
  if (afresh) by_own_law_ = true;
  if (by_own_law_) {
    const Sides rough = law_sides(size_);
    const double error = std::sqrt(rough.variance);
    const double told = rough.outside();
    const double unseen = estimate::unseen_in(size_.replicates << size_.log2_points);
    const bool adds_nothing = told + k_sure * error + unseen < chance;
    if (adds_nothing || (told > 0.0 && error <= estimate::k_known_at_ends * told)) return told;
    by_own_law_ = false;
    fit_roughly();
  }
  return own_sides().outside();
}

template <class Of>
std::optional<Sides> CommonRandomNumbers::sides_of(const Of& of) {
  Sides chances;
  for (OneSide& side : sides_) {
    const std::optional<estimate::MeanOfReplicates> mean = of(side.points);
    if (!mean) return {};
    (side.side == estimate::Side::below ? chances.below : chances.above) = mean->mean;
    chances.variance += mean->variance;
  }
  return chances;
}

Sides CommonRandomNumbers::own_sides() {
  return *sides_of([this](estimate::CommonPoints& points) {
    return std::optional(points.mean(size_, 1, workspace_));
  });
}

Sides CommonRandomNumbers::law_sides(const estimate::Size& size) {
  return *sides_of([&](estimate::CommonPoints& points) {
    return std::optional(points.own_mean(size, workspace_));
  });
}

std::optional<Sides> CommonRandomNumbers::clear_sides(double risk) {
  const auto is_clear = [risk](const Sides& sides, double unseen) {
    const double reach = k_sure * std::sqrt(sides.variance);
    const double chance = sides.outside();
    return chance - reach > risk * k_clearly || (chance + reach + unseen) * k_clearly < risk;
  };
  for (const unsigned log2 : k_rough_log2) {
    estimate::Size size = size_;
    size.log2_points = log2;
    const Sides own = law_sides(size);
    const double unseen = estimate::unseen_in(std::uint64_t{size.replicates} << log2);
    if (is_clear(own, unseen)) return own;
    if (log2 != k_rough_log2.back() || !(most_least() > risk)) continue;
    // Beside more, measured inputs bear less.
    const double most = own.outside() + k_sure * std::sqrt(own.variance) + unseen;
    if (!(least(most) > risk * k_clearly)) continue;
    Sides borne = own;
    borne.least = least(own.outside());
    return borne;
  }
  const auto kept = sides_of(
      [this](estimate::CommonPoints& points) { return points.kept_mean(size_, workspace_); });
  return kept && is_clear(*kept, 0.0) ? kept : std::nullopt;
}

std::uint64_t CommonRandomNumbers::mixtures() const {
  std::uint64_t sum = 0;
  for (const OneSide& side : sides_) sum += side.points.mixtures();
  return sum;
}

std::uint64_t CommonRandomNumbers::evaluations() const {
  std::uint64_t sum = 0;
  for (const OneSide& side : sides_) sum += side.points.evaluations();
  for (const Beyond& beyond : measured_) {
    for (const auto& end : beyond.at) sum += end->evaluations();
  }
  return sum;
}

}  // namespace blendrisk::tank
