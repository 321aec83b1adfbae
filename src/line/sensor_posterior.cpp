#include "line/sensor_posterior.hpp"

#include <algorithm>
#include <cmath>

#include "estimate/interval.hpp"
#include "estimate/parallel.hpp"
#include "estimate/weights.hpp"
#include "line/block_means.hpp"
#include "line/carry_over.hpp"
#include "line/posterior_model.hpp"
#include "numeric/sampling_laws.hpp"
#include "tank/known.hpp"

namespace blendrisk::line {
namespace {

constexpr double k_enough_cases = 400.0;
constexpr double k_fewest_cases = 100.0;
/// Readings that fit worse than this contradict the scenario.
constexpr double k_contradiction = 1e-6;

}  // namespace

Follow::Follow(const scenario::Scenario& scenario, const estimate::Options& options)
    : scenario_(scenario),
      options_(options),
      inputs_(scenario, sampling::Scope::line),
      line_(inputs_),
      target_(target_of(line_)),
      display_(display_of(scenario.sensor)),
      sampler_(sampling::sampler_of_all(inputs_)) {
  tank::require_fuel(inputs_);
  tank::chance_of_known(inputs_, options_);  // whether the figures fit the scenario
  start(each_);
}

Follow::~Follow() = default;

void Follow::start(std::size_t each) {
  each_ = each;
  if (smc_) evaluations_ += smc_->evaluations();
  smc_ = std::make_unique<estimate::SmcSampler>(sampler_.size(), each, options_.seed);
  taken_.clear();
  next_.clear();
  if (!inputs_.weighted()) return;
  // What the dispenser showed comes before every reading.
  figures_taken_ = false;
  smc_->temper([this] { return std::make_unique<Model>(*this); }, options_.threads);
  figures_taken_ = true;
}

Reading Follow::reading(const Moment& moment, double value) const {
  return {moment, value, display_.sd, display_.step};
}

void Follow::take_in() {
  smc_->temper([this] { return std::make_unique<Model>(*this); }, options_.threads);
  taken_.insert(taken_.end(), next_.begin(), next_.end());
  next_.clear();
}

void Follow::undo() {
  smc_ = std::make_unique<estimate::SmcSampler>(*particles_before_);
  each_ = static_cast<std::size_t>(smc_->blocks().front().z.rows());
  taken_ = taken_before_;
  readings_.resize(readings_before_);
}

void Follow::add(const std::vector<Reading>& readings) {
  particles_before_ = std::make_unique<estimate::SmcSampler>(*smc_);
  taken_before_ = taken_;
  readings_before_ = readings_.size();
  readings_.insert(readings_.end(), readings.begin(), readings.end());
  if (readings_.size() <= k_most_readings) {
    next_ = readings;
  } else {
    // The groups are new: all but the last stand for what was let in before.
    const std::vector<Reading> groups = grouped(readings_);
    if (taken_.empty()) {
      next_ = groups;
    } else {
      taken_.assign(groups.begin(), groups.end() - 1);
      next_ = {groups.back()};
    }
  }
  take_in();
}

std::vector<Follow::Case> Follow::cases(bool with_line) const {
  const std::vector<double> weights = smc_->weights();
  std::vector<std::vector<Case>> blocks(estimate::SmcSampler::k_blocks);
  estimate::in_parallel(estimate::SmcSampler::k_blocks, options_.threads, [&] {
    return [&, model = std::make_unique<Model>(*this)](std::size_t b) {
      const Eigen::ArrayXXd& z = smc_->blocks()[b].z;
      model->add_cases(z, weights[b] / static_cast<double>(z.rows()), b, with_line, blocks[b]);
    };
  });
  std::vector<Case> all;
  for (const std::vector<Case>& block : blocks) all.insert(all.end(), block.begin(), block.end());
  return all;
}

// With a normal prior and a straight line to the readings, the least of |z|² + Σ misfit² is
// chi-squared with as many degrees of freedom as there are readings.
double Follow::goodness_of_fit() const {
  std::array<double, estimate::SmcSampler::k_blocks> least_of{};
  estimate::in_parallel(estimate::SmcSampler::k_blocks, options_.threads, [&] {
    return [&, model = std::make_unique<Model>(*this)](std::size_t b) {
      const std::vector<double> sums = model->discrepancies(smc_->blocks()[b].z);
      least_of[b] = *std::min_element(sums.begin(), sums.end());
    };
  });
  double least = *std::min_element(least_of.begin(), least_of.end());
  Model model(*this);
  const Eigen::ArrayXXd centre = smc_->centre().transpose();
  least = std::min(least, model.discrepancies(centre).front());
  const std::size_t data = taken_.size() + inputs_.told().size();
  if (!std::isfinite(least)) return 0.0;
  return numeric::chi_squared_tail(static_cast<double>(std::max<std::size_t>(data, 1)), least);
}

double Follow::effective(const std::vector<Case>& all) {
  double inverse = 0.0;
  double used = 0.0;
  for (const auto member : {&Case::settled, &Case::rail, &Case::bias}) {
    const MeanOverBlocks mean =
        mean_over_blocks(all, [member](const Case& one) { return one.*member; });
    if (!(mean.spread > 1e-18)) continue;
    inverse += mean.variance / mean.spread;
    used += 1.0;
  }
  const auto most = static_cast<double>(all.size());
  return used > 0.0 ? std::min(most, used / std::max(inverse, 1e-300)) : most;
}

Posterior Follow::posterior(Detail detail) {
  if (readings_.empty()) throw NoPosterior(NoPosterior::Why::no_reading);
  constexpr std::size_t k_most_each = 4096;
  for (bool stirred = false;;) {
    const double fit = goodness_of_fit();
    if (fit < k_contradiction) throw NoPosterior(NoPosterior::Why::contradiction);
    const std::vector<Case> all = cases();
    const double effective_cases = effective(all);
    if (effective_cases < k_enough_cases && !stirred) {
      stirred = true;
      smc_->rejuvenate([this] { return std::make_unique<Model>(*this); }, options_.threads);
      continue;
    }
    if (effective_cases < k_fewest_cases && each_ < k_most_each) {
      start(4 * each_);
      next_ = grouped(readings_);
      take_in();
      continue;
    }
    if (effective_cases < k_fewest_cases) {
      throw NoPosterior(NoPosterior::Why::few_cases, effective_cases);
    }
    Posterior result = summed_up(all, effective_cases);
    result.fit = fit;
    sharpen(detail, result);
    result.effort.evaluations = evaluations_ + smc_->evaluations();
    return result;
  }
}

estimate::CarriedOver Follow::carried_over() {
  constexpr int k_rounds = 16;
  std::vector<Case> all;
  std::vector<KnownCase> known;
  for (int round = 0; round < k_rounds; ++round) {
    smc_->rejuvenate([this] { return std::make_unique<Model>(*this); }, options_.threads);
    for (Case one : cases(true)) {
      one.weight /= k_rounds;
      all.push_back(one);
      known.push_back({one.settled, one.line, one.bias, one.weight});
    }
  }
  return line::carried_over(known, effective(all));
}

Posterior Follow::summed_up(const std::vector<Case>& all, double effective_cases) const {
  Posterior result;
  result.readings = readings_.size();
  result.now = readings_.back().moment;
  result.target = target_;
  result.cases = all.size();
  result.display_assumed = display_.assumed;
  result.effective_cases = effective_cases;
  const auto share = [&](const auto& has) { return share_of(all, effective_cases, has); };
  const auto quantiles = [&](double Case::*member, bool finite) {
    std::vector<estimate::Weighted> values;
    for (const Case& one : all) {
      if (!finite || std::isfinite(one.*member)) values.push_back({one.*member, one.weight});
    }
    return values.size() < all.size() / 20 ? std::optional<std::array<double, 5>>()
                                           : estimate::quantiles_of(values);
  };
  result.landed = *quantiles(&Case::settled, false);
  result.rail_now = *quantiles(&Case::rail, false);
  const scenario::Limits& limits = scenario_.limits;
  for (const estimate::Limit& limit : estimate::limits_of(limits)) {
    (limit.below() ? result.below_minimum : result.above_maximum) =
        share([&](const Case& one) { return limit.missed_by(one.settled); });
  }
  result.rail_outside = share([&](const Case& one) { return target_.missed_by(one.rail); });
  result.burn_left_l = quantiles(&Case::burn_left_l, true);
  if (line_.has_rates()) result.time_left_s = quantiles(&Case::time_left_s, true);
  const auto enough = [&](double Case::*member) -> std::optional<double> {
    std::vector<estimate::Weighted> values;
    values.reserve(all.size());
    for (const Case& one : all) values.push_back({one.*member, one.weight});
    estimate::sort(values);
    const double left = estimate::quantile_of(values, 1.0 - 0.5 * limits.accepted_risk);
    return std::isfinite(left) ? std::optional<double>(left) : std::nullopt;
  };
  result.enough_left_l = enough(&Case::burn_left_l);
  if (line_.has_rates()) result.enough_left_s = enough(&Case::time_left_s);
  for (const Case& one : all) result.bias_mean += one.weight * one.bias;
  for (const Case& one : all) {
    const double off = one.bias - result.bias_mean;
    result.bias_sd += one.weight * off * off;
  }
  result.bias_sd = std::sqrt(result.bias_sd);
  return result;
}

}  // namespace blendrisk::line
