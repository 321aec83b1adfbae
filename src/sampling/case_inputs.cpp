#include "sampling/case_inputs.hpp"

#include <algorithm>
#include <cassert>
#include <set>
#include <utility>

#include "numeric/target_clones.hpp"
#include "sampling/conditional_law.hpp"
#include "scenario/correlation.hpp"
#include "scenario/told.hpp"
#include "scenario/way.hpp"

namespace blendrisk::sampling {

using scenario::Uncertain;

namespace {

BLENDRISK_CLONES void hold_loop(double* x, double low, double high, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double risen = x[i] < low ? low : x[i];
    x[i] = high < risen ? high : risen;
  }
}

}  // namespace

CaseInputs::CaseInputs(const scenario::Scenario& scenario, Scope scope)
    : scenario_(&scenario), scope_(scope) {
  const auto add_all = [this](Uncertain from, Uncertain to, std::size_t fill) {
    for (auto row = static_cast<std::size_t>(from); row < static_cast<std::size_t>(to); ++row) {
      add(static_cast<Uncertain>(row), fill);
    }
  };
  inputs_.reserve(Slot::of(Uncertain::end, fills()));
  add_all(Uncertain{}, Uncertain::first_of_fill, 0);
  for (std::size_t fill = 0; fill < fills(); ++fill) {
    add_all(Uncertain::first_of_fill, Uncertain::first_of_line, fill);
  }
  if (scope == Scope::line) add_all(Uncertain::first_of_line, Uncertain::end, 0);
  weighted_ = scenario::any_shown(scenario) || scenario.heel.burned_l;
  if (const auto told = scenario::told_by_gauge(scenario)) told_.push_back(Slot::of(*told));
  for (std::size_t fill = 0; weighted_ && fill < fills(); ++fill) {
    if (const auto told = scenario::told_by_dispenser(scenario, fill)) {
      told_.push_back(Slot::of(*told, fill));
    }
  }
  if (!scenario.correlations.empty()) correlate();
}

void CaseInputs::add(Uncertain input, std::size_t fill) {
  // Of a reading the bias is in the old content's place, and there alone.
  const bool in_place = input == Uncertain::old_content && by_reading();
  const scenario::Key* key = key_of(in_place ? Uncertain::bias : input, fill);
  const distributions::Distribution* law = key != nullptr ? law_of(*scenario_, *key) : nullptr;
  if (law == nullptr) {
    inputs_.push_back({{}, 0.0, 0.0, false, false, key});
    return;
  }
  const bool elsewhere = input == Uncertain::bias && by_reading();
  const bool matters = key->row->matters == nullptr || key->row->matters(*scenario_, fill);
  const bool uncertain = matters && !elsewhere && !distributions::is_exact(*law);
  const auto [low, high] = physical_bounds(*key);
  const bool held =
      uncertain && (distributions::lowest(*law) < low || distributions::highest(*law) > high);
  inputs_.push_back({*law, low, high, uncertain, held, key});
}

void CaseInputs::correlate() {
  const auto known_score = [this](const std::string& key) -> std::optional<double> {
    for (const scenario::Known& one : scenario_->known) {
      if (one.key == key) return one.score;
    }
    return std::nullopt;
  };
  // Empty where an input is neither drawn nor known.
  std::vector<std::string> names(inputs_.size());
  for (std::size_t slot = 0; slot < inputs_.size(); ++slot) {
    std::string name = key(slot);
    if (inputs_[slot].uncertain || known_score(name)) names[slot] = std::move(name);
  }
  std::set<std::size_t> slots;
  for (const scenario::Correlation& one : scenario_->correlations) {
    const auto first = std::find(names.begin(), names.end(), one.first);
    const auto second = std::find(names.begin(), names.end(), one.second);
    if (first == names.end() || second == names.end() || one.rank == 0.0) continue;
    slots.insert(static_cast<std::size_t>(first - names.begin()));
    slots.insert(static_cast<std::size_t>(second - names.begin()));
  }
  std::vector<std::string> taking_part;
  for (const std::size_t slot : slots) {
    taking_part.push_back(names[slot]);
    correlations_.slots.push_back(slot);
    correlations_.known.push_back(inputs_[slot].uncertain ? std::nullopt
                                                          : known_score(names[slot]));
  }
  correlations_.scores = scenario::score_matrix(taking_part, scenario_->correlations);
}

std::size_t CaseInputs::slot(Uncertain input, std::size_t fill) const {
  if (input < Uncertain::first_of_line) return Slot::of(input, fill);
  if (input == Uncertain::bias && by_reading()) return Slot::old_fuel;
  assert(scope_ == Scope::line);
  return Slot::of(input, fills() - 1);
}

std::string CaseInputs::key(std::size_t slot) const {
  const scenario::Key* key = inputs_[slot].key;
  return key != nullptr ? key->full_name() : std::string();
}

std::vector<std::size_t> CaseInputs::uncertain(std::size_t left_out) const {
  std::vector<std::size_t> slots;
  slots.reserve(inputs_.size());
  for (std::size_t slot = 0; slot < inputs_.size(); ++slot) {
    if (is_open(slot) && slot != left_out) slots.push_back(slot);
  }
  return slots;
}

std::vector<std::size_t> CaseInputs::with_told(std::vector<std::size_t> drawn) const {
  drawn.insert(drawn.end(), told_.begin(), told_.end());
  return drawn;
}

bool CaseInputs::is_open(std::size_t slot) const {
  return inputs_[slot].uncertain && std::find(told_.begin(), told_.end(), slot) == told_.end();
}

double CaseInputs::clamped_share(std::size_t slot) const {
  const Input& input = inputs_[slot];
  const auto outside = [&input](double low, double high) {
    return distributions::cdf_below(input.law, low) + distributions::complement(input.law, high);
  };
  if (slot == Slot::gauge_error) {
    const double click_off = distributions::quantile(scenario_->tank.click_off, 0.5);
    return scenario::mean_over_way(*scenario_, [&](double burned) {
      const double indicated = scenario_->heel.indicated_l - burned;
      return outside(-indicated, click_off - indicated);
    });
  }
  if (slot == Slot::old_fuel && by_reading()) {
    return outside(*scenario_->heel.reading - 1.0, *scenario_->heel.reading);
  }
  return input.held ? outside(input.low, input.high) : 0.0;
}

bool CaseInputs::log_concave() const {
  const bool each = std::all_of(inputs_.begin(), inputs_.end(), [](const Input& input) {
    return !input.uncertain || input.law.law().traits().log_concave;
  });
  const auto& slots = correlations_.slots;
  return each && std::all_of(slots.begin(), slots.end(), [this](std::size_t slot) {
           return !inputs_[slot].uncertain || inputs_[slot].law.law().traits().normal;
         });
}

std::string CaseInputs::may_empty() const {
  constexpr double k_hardly = 1e-4;
  if (distributions::cdf(inputs_[Slot::click_off].law, 0.0) > k_hardly) return "tank.click-off";
  const scenario::Fill& fill = scenario_->fills.front();
  if (!fill.amount_l || fill.shown_l) return {};
  const double nothing_left = scenario::mean_over_way(*scenario_, [&](double burned) {
    const double least_error = burned - scenario_->heel.indicated_l;
    return *fill.amount_l > 0.0 ? chance_of_both_at_most(*this, Slot::meter_error(0), -1.0,
                                                         Slot::gauge_error, least_error)
                                : distributions::cdf(inputs_[Slot::gauge_error].law, least_error);
  });
  return nothing_left > k_hardly ? "fill.amount" : "";
}

CaseBatch::CaseBatch(const CaseInputs& inputs, std::size_t capacity)
    : values_(capacity, inputs.size()), scores_(capacity, inputs.correlations().slots.size()) {
  for (std::size_t slot = 0; slot < inputs.size(); ++slot) {
    const Input& input = inputs[slot];
    const double value = distributions::is_exact(input.law)
                             ? distributions::mean(input.law)
                             : distributions::quantile(input.law, 0.5);
    std::fill_n(column(slot), capacity, std::clamp(value, input.low, input.high));
  }
}

void CaseBatch::hold(const Input& input, std::size_t slot, std::size_t n) {
  if (!input.held) return;
  double* x = column(slot);
  hold_loop(x, input.low, input.high, n);
}

}  // namespace blendrisk::sampling
