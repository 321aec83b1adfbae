#include "sampling/case_inputs.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <limits>
#include <set>
#include <utility>

#include "models/clones.hpp"
#include "sampling/given_others.hpp"
#include "scenario/correlation.hpp"

namespace blendrisk::sampling {
namespace {

constexpr double kNone = std::numeric_limits<double>::infinity();

struct Range {
  double low, high;
};
constexpr Range kContent{0.0, 1.0};
constexpr Range kVolume{0.0, kNone};
constexpr Range kAny{-kNone, kNone};

Input make(const distributions::Distribution& law, Range range, bool used = true) {
  const bool uncertain = used && !distributions::is_exact(law);
  const bool held = uncertain && (distributions::lowest(law) < range.low ||
                                  distributions::highest(law) > range.high);
  return {law, range.low, range.high, uncertain, held};
}

BLENDRISK_CLONES void hold_loop(double* x, double low, double high, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double risen = x[i] < low ? low : x[i];
    x[i] = high < risen ? high : risen;
  }
}

}  // namespace

CaseInputs::CaseInputs(const scenario::Scenario& scenario, Scope scope)
    : scenario_(&scenario), scope_(scope) {
  inputs_.reserve(Slot::first_fill + Slot::per_fill * scenario.fills.size() + k_line_inputs);
  inputs_.push_back(make(scenario.tank.click_off, kVolume));
  inputs_.push_back(make(scenario.heel.gauge_error, kAny));
  inputs_.push_back(by_reading() ? make(scenario.sensor.bias, kAny)
                                 : make(*scenario.heel.content, kContent));
  for (std::size_t f = 0; f < scenario.fills.size(); ++f) {
    const scenario::Fill& fill = scenario.fills[f];
    const bool hose =
        !distributions::is_exact(fill.hose_volume) || distributions::mean(fill.hose_volume) > 0.0;
    inputs_.push_back(make(fill.content, kContent));
    inputs_.push_back(make(fill.meter_error, kAny, fill.amount_l.has_value()));
    inputs_.push_back(make(fill.hose_volume, kVolume));
    inputs_.push_back(make(fill.hose_content, kContent, hose));
    inputs_.push_back(make(fill.burn_first, kVolume, f > 0 && !fill.indicated_l));
  }
  if (scope == Scope::line) add_line();
  if (!scenario.correlations.empty()) correlate();
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

void CaseInputs::add_line() {
  const scenario::Line& line = scenario_->line;
  const scenario::Engine& engine = scenario_->engine;
  const distributions::Distribution nothing;
  const auto driven = [&](scenario::Load load) {
    return std::any_of(engine.schedule.begin(), engine.schedule.end(),
                       [load](const scenario::Phase& phase) { return phase.load == load; });
  };
  for (const auto* volume : {&line.reservoir, &line.filter, &line.pipe, &line.beyond_sensor}) {
    inputs_.push_back(make(*volume, kVolume));
  }
  inputs_.push_back(make(line.return_flow, kVolume));
  inputs_.push_back(make(line.content.value_or(nothing), kContent));
  inputs_.push_back(make(engine.idle.value_or(nothing), kVolume, driven(scenario::Load::idle)));
  inputs_.push_back(make(engine.gentle.value_or(nothing), kVolume, driven(scenario::Load::gentle)));
  inputs_.push_back(make(scenario_->sensor.bias, kAny, !by_reading()));
}

std::size_t CaseInputs::slot(LineInput input) const {
  assert(scope_ == Scope::line);
  if (input == LineInput::bias && by_reading()) return Slot::old_fuel;
  return Slot::first_fill + Slot::per_fill * fills() + static_cast<std::size_t>(input);
}

std::string CaseInputs::key(std::size_t slot) const {
  constexpr std::array<const char*, Slot::per_fill> names{"content", "meter-error", "hose-volume",
                                                          "hose-content", "burn-first"};
  if (slot == Slot::click_off) return "tank.click-off";
  if (slot == Slot::gauge_error) return "heel.gauge-error";
  if (slot == Slot::old_fuel) return by_reading() ? "sensor.bias" : "heel.content";
  constexpr std::array<const char*, k_line_inputs> line_keys{
      "line.reservoir", "line.filter", "line.pipe",     "line.beyond-sensor", "line.return-flow",
      "line.content",   "engine.idle", "engine.gentle", "sensor.bias"};
  const std::size_t fill = (slot - Slot::first_fill) / Slot::per_fill;
  if (fill >= fills()) return line_keys[slot - Slot::content(fills())];
  const std::string name = names[(slot - Slot::first_fill) % Slot::per_fill];
  if (fill == 0) return "fuel." + name;
  return "fill-" + std::to_string(fill + 1) + "." + name;
}

std::vector<std::size_t> CaseInputs::uncertain(std::size_t left_out) const {
  std::vector<std::size_t> slots;
  slots.reserve(inputs_.size());
  for (std::size_t slot = 0; slot < inputs_.size(); ++slot) {
    if (inputs_[slot].uncertain && slot != left_out) slots.push_back(slot);
  }
  return slots;
}

double CaseInputs::held_share(std::size_t slot) const {
  const Input& input = inputs_[slot];
  const auto outside = [&input](double low, double high) {
    return distributions::cdf_below(input.law, low) + distributions::complement(input.law, high);
  };
  if (slot == Slot::gauge_error) {
    const double indicated = scenario_->heel.indicated_l;
    const double click_off = distributions::quantile(scenario_->tank.click_off, 0.5);
    return outside(-indicated, click_off - indicated);
  }
  if (slot == Slot::old_fuel && by_reading()) {
    return outside(*scenario_->heel.reading - 1.0, *scenario_->heel.reading);
  }
  return input.held ? outside(input.low, input.high) : 0.0;
}

bool CaseInputs::log_concave() const {
  const bool each = std::all_of(inputs_.begin(), inputs_.end(), [](const Input& input) {
    return !input.uncertain || distributions::is_log_concave(input.law);
  });
  const auto& slots = correlations_.slots;
  return each && std::all_of(slots.begin(), slots.end(), [this](std::size_t slot) {
           return !inputs_[slot].uncertain ||
                  std::holds_alternative<distributions::Normal>(inputs_[slot].law.law());
         });
}

std::string CaseInputs::may_empty() const {
  constexpr double kHardly = 1e-4;
  if (distributions::cdf(inputs_[Slot::click_off].law, 0.0) > kHardly) return "tank.click-off";
  const scenario::Fill& fill = scenario_->fills.front();
  if (!fill.amount_l) return {};
  const double least_error = -scenario_->heel.indicated_l;
  const double nothing_left = *fill.amount_l > 0.0
                                  ? chance_of_both_at_most(*this, Slot::meter_error(0), -1.0,
                                                           Slot::gauge_error, least_error)
                                  : distributions::cdf(inputs_[Slot::gauge_error].law, least_error);
  return nothing_left > kHardly ? "fill.amount" : "";
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
