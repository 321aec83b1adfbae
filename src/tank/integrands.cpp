#include "tank/integrands.hpp"

#include <algorithm>
#include <cassert>

#include "models/blend.hpp"
#include "models/infinity.hpp"
#include "scenario/way.hpp"
#include "tank/first_reading.hpp"

namespace blendrisk::tank {
namespace {

using sampling::CaseBatch;
using sampling::CaseInputs;
using sampling::Slot;

/// The uncertain inputs that volumes up to and including fill `last` depend on.
std::vector<std::size_t> volume_slots(const CaseInputs& inputs, std::size_t last,
                                      std::size_t left_out) {
  std::vector<std::size_t> slots;
  const auto add = [&](std::size_t slot) {
    if (inputs.is_open(slot) && slot != left_out) slots.push_back(slot);
  };
  add(Slot::gauge_error);
  add(Slot::click_off);
  add(Slot::of(scenario::Uncertain::to_pump));
  add(Slot::of(scenario::Uncertain::economy));
  for (std::size_t fill = 0; fill <= last; ++fill) {
    add(Slot::burned(fill));
    add(Slot::meter_error(fill));
  }
  return slots;
}

/// What the nozzle's clicking off at the last fill is integrated over; size(): nothing.
std::size_t inner_of_click_off(const CaseInputs& inputs) {
  const std::size_t last = inputs.fills() - 1;
  if (last == 0 && inputs.is_open(Slot::gauge_error)) return Slot::gauge_error;
  return inputs.is_open(Slot::meter_error(last)) ? Slot::meter_error(last) : inputs.size();
}

/// The last fill before which the tank may run dry. Of fills that are done the weights count, of
/// all of them.
std::size_t last_to_run_dry(const CaseInputs& inputs) {
  const std::size_t driven = last_driven(inputs.scenario()).value_or(0);
  return inputs.weighted() ? inputs.fills() - 1 : driven;
}

/// What running dry is integrated over; size(): nothing, as where the weights depend on it.
std::size_t inner_of_dry(const CaseInputs& inputs, std::size_t last) {
  if (last == 0 && scenario::is_on_the_way(inputs.scenario())) {
    const bool alone = inputs.is_open(Slot::gauge_error) && !inputs.weighted();
    return alone ? Slot::gauge_error : inputs.size();
  }
  const std::size_t burned = Slot::burned(last);
  return inputs.is_open(burned) && !inputs.weighted() ? burned : inputs.size();
}

/// The chance of both: of the event, and of what was shown.
void weigh(estimate::BlendColumns& columns, std::span<double> f) {
  const double* weight = columns.weight();
  for (std::size_t i = 0; i < f.size(); ++i) f[i] *= weight[i];
}

}  // namespace

Exceedance::Exceedance(const LinearBlend& landing, const estimate::Limit& limit)
    : limit_(limit), weighted_(landing.inputs().weighted()) {
  if (landing.conditioned()) law_.emplace(landing.inputs(), *landing.conditioned());
}

void Exceedance::evaluate(CaseBatch& batch, estimate::BlendColumns& columns, std::span<double> f,
                          std::span<double> limit_state) const {
  const double* a = columns.a();
  const double* b = columns.b();
  if (!law_) {
    for (std::size_t i = 0; i < f.size(); ++i) f[i] = limit_.missed_by(a[i]) ? 1.0 : 0.0;
  } else {
    law_->outside(limit_.side, limit_.compared(), a, b,
                  law_->centres(batch, {columns.centre(), f.size()}), f);
  }
  for (std::size_t i = 0; i < limit_state.size(); ++i) {
    const double room = limit_.beyond(a[i]);
    limit_state[i] = b[i] > 0.0 ? room / b[i] : room;
  }
  if (weighted_) weigh(columns, f);
}

void Shown::evaluate(CaseBatch& batch, estimate::BlendColumns& columns, std::span<double> f,
                     std::span<double> limit_state) const {
  landing_.evaluate(batch, f.size(), columns);
  std::copy_n(columns.weight(), f.size(), f.begin());
  for (std::size_t i = 0; i < limit_state.size(); ++i) limit_state[i] = -columns.misfit()[i];
}

OutsideLimitByGauge::OutsideLimitByGauge(const CaseInputs& inputs, const estimate::Limit& limit)
    : inputs_(inputs),
      gauge_(inputs, inputs.uncertain(Slot::gauge_error), Slot::gauge_error),
      limit_(limit) {
  assert(inputs.fills() == 1);
}

// P(low <= heel <= high) for 0 <= low <= high <= click-off, from the nearer tail. All errors that
// empty the tank, or fill it, count at that end.
double OutsideLimitByGauge::heel_mass(double low, double high, double click_off, double indicated,
                                      double centre) const {
  const double from = low > 0.0 ? low - indicated : -k_infinity;
  const double to = high < click_off ? high - indicated : k_infinity;
  const double above_from = gauge_.above(from, centre);
  if (above_from < 0.5) return above_from - gauge_.above(to, centre);
  return gauge_.at_most(to, centre) - gauge_.at_most(from, centre);
}

double OutsideLimitByGauge::chance(const CaseBatch& batch, double hose, double indicated,
                                   std::size_t i) const {
  const scenario::Fill& fill = inputs_.scenario().fills[0];
  const double click_off = batch.column(Slot::click_off)[i];
  const double c_hose = batch.column(Slot::hose_content(0))[i];
  const double c_fresh = batch.column(Slot::content(0))[i];
  const double old_fuel = batch.column(Slot::old_fuel)[i];
  const double c_heel = inputs_.by_reading() ? models::content_from_reading(
                                                   *inputs_.scenario().heel.reading, old_fuel)
                                             : old_fuel;
  const double metered =
      fill.amount_l.value_or(k_infinity) * (1.0 + batch.column(Slot::meter_error(0))[i]);
  const double ordered = std::clamp(metered, 0.0, click_off);
  const double hose_in = std::min(hose, ordered);
  // Where the metered fill meets the click-off, and where the room is the hose's fuel alone.
  const double full_from = click_off - ordered;
  const double hose_from = std::max(click_off - hose, full_from);
  const double centre = gauge_.centre(batch, i);
  const double limit = limit_.compared();

  double sum = 0.0;
  // Adds the heels in [low, high] with slope · heel < rest on the side in question.
  const auto add = [&](double low, double high, double slope, double rest) {
    if (!(low < high)) return;
    slope *= limit_.sign();
    rest *= limit_.sign();
    double from = low;
    double to = high;
    if (slope > 0.0) {
      to = std::min(to, rest / slope);
    } else if (slope < 0.0) {
      from = std::max(from, rest / slope);
    } else if (!(rest > 0.0)) {
      return;
    }
    if (from < to) sum += heel_mass(from, to, click_off, indicated, centre);
  };
  add(0.0, full_from, c_heel - limit,
      limit * ordered - hose_in * c_hose - (ordered - hose_in) * c_fresh);
  add(full_from, hose_from, c_heel - c_fresh,
      click_off * (limit - c_fresh) - hose * (c_hose - c_fresh));
  add(hose_from, click_off, c_heel - c_hose, click_off * (limit - c_hose));
  return std::clamp(sum, 0.0, 1.0);
}

void OutsideLimitByGauge::evaluate(CaseBatch& batch, estimate::BlendColumns& columns,
                                   std::span<double> f, std::span<double> limit_state) const {
  const double* hose = batch.column(Slot::hose_volume(0));
  const FirstReading indicated(inputs_, batch);
  for (std::size_t i = 0; i < f.size(); ++i) f[i] = chance(batch, hose[i], indicated[i], i);
  if (limit_state.empty()) return;
  LinearBlend(inputs_, {}).evaluate(batch, f.size(), columns);
  for (std::size_t i = 0; i < limit_state.size(); ++i) {
    limit_state[i] = limit_.beyond(columns.a()[i]);
  }
}

ClicksOffEarly::ClicksOffEarly(const CaseInputs& inputs)
    : inner_(inner_of_click_off(inputs)),
      slots_(volume_slots(inputs, inputs.fills() - 1, inner_)),
      volumes_(inputs, {}, slots_) {
  if (inner_ < inputs.size()) given_.emplace(inputs, inputs.with_told(slots_), inner_);
}

void ClicksOffEarly::evaluate(CaseBatch& batch, estimate::BlendColumns& columns,
                              std::span<double> f, std::span<double> limit_state) const {
  const CaseInputs& inputs = volumes_.inputs();
  const std::size_t n = f.size();
  const std::size_t last = inputs.fills() - 1;
  const double shown = *inputs.scenario().fills[last].amount_l;
  const double* click_off = batch.column(Slot::click_off);
  for (std::size_t fill = 0; fill <= last; ++fill) volumes_.fill_volumes(batch, fill, n, columns);
  // f holds the least inner input for the nozzle to click off, then the chance of more.
  if (inner_ == Slot::gauge_error) {
    const FirstReading indicated(inputs, batch);
    const double* meter = batch.column(Slot::meter_error(last));
    for (std::size_t i = 0; i < n; ++i) {
      const double ordered = shown * (1.0 + meter[i]);
      const double heel = click_off[i] - ordered;
      f[i] = !(ordered > 0.0) ? k_infinity
                              : (heel < -k_tie_l ? -k_infinity : heel + k_tie_l - indicated[i]);
    }
  } else if (inner_ == Slot::meter_error(last)) {
    const double* heel = columns.heel();
    for (std::size_t i = 0; i < n; ++i) {
      f[i] = shown > 0.0 ? (click_off[i] + k_tie_l - heel[i]) / shown - 1.0 : k_infinity;
    }
  } else {
    for (std::size_t i = 0; i < n; ++i) f[i] = k_tie_l - columns.short_l()[i];
  }
  for (std::size_t i = 0; i < limit_state.size(); ++i) limit_state[i] = -f[i];
  if (given_) {
    given_->above(f, given_->centres(batch, {columns.centre(), n}), f);
  } else {
    for (std::size_t i = 0; i < n; ++i) f[i] = f[i] < 0.0 ? 1.0 : 0.0;
  }
  if (inputs.weighted()) weigh(columns, f);
}

RunsDryLater::RunsDryLater(const CaseInputs& inputs, bool at_first_too)
    : last_(last_to_run_dry(inputs)),
      at_first_too_(at_first_too),
      inner_(inner_of_dry(inputs, last_)),
      slots_(last_ > 0 || inputs.weighted() || scenario::is_on_the_way(inputs.scenario())
                 ? volume_slots(inputs, last_, inner_)
                 : std::vector<std::size_t>()),
      volumes_(inputs, {}, slots_) {
  if (inner_ < inputs.size()) given_.emplace(inputs, inputs.with_told(slots_), inner_);
}

void RunsDryLater::evaluate(CaseBatch& batch, estimate::BlendColumns& columns, std::span<double> f,
                            std::span<double> limit_state) const {
  const CaseInputs& inputs = volumes_.inputs();
  const double floor = inputs.scenario().tank.pickup_floor_l;
  std::fill(f.begin(), f.end(), 0.0);
  std::fill(limit_state.begin(), limit_state.end(), -k_infinity);
  for (std::size_t fill = 0; fill <= last_; ++fill) {
    volumes_.fill_volumes(batch, fill, f.size(), columns);
    if (fill == 0 && !at_first_too_) continue;
    const bool inside = fill == last_ && given_;
    if (inside && inner_ == Slot::gauge_error) {
      dry_by_gauge(batch, columns, f, limit_state);
      continue;
    }
    double* left = inside ? columns.earlier_total() : columns.heel();  // working columns, now free
    for (std::size_t i = 0; i < f.size(); ++i) left[i] -= floor;
    for (std::size_t i = 0; i < limit_state.size(); ++i) {
      limit_state[i] = std::max(limit_state[i], -left[i]);
    }
    if (inside) {
      // What is burned is never negative: where nothing is left it need not be anything.
      for (std::size_t i = 0; i < f.size(); ++i) left[i] = left[i] < 0.0 ? -k_infinity : left[i];
      const auto centres = given_->centres(batch, {columns.centre(), f.size()});
      given_->above({left, f.size()}, centres, {left, f.size()});
      for (std::size_t i = 0; i < f.size(); ++i) f[i] = std::max(f[i], left[i]);
    } else {
      for (std::size_t i = 0; i < f.size(); ++i) f[i] = std::max(f[i], left[i] < 0.0 ? 1.0 : 0.0);
    }
  }
  if (inputs.weighted()) weigh(columns, f);
}

// Of a gauge's error that leaves less than the floor at the end of the way.
void RunsDryLater::dry_by_gauge(const CaseBatch& batch, estimate::BlendColumns& columns,
                                std::span<double> f, std::span<double> limit_state) const {
  const CaseInputs& inputs = volumes_.inputs();
  const double floor = inputs.scenario().tank.pickup_floor_l;
  const double* click_off = batch.column(Slot::click_off);
  const FirstReading indicated(inputs, batch);
  for (std::size_t i = 0; i < f.size(); ++i) {
    f[i] = click_off[i] < floor ? k_infinity : floor - indicated[i];
  }
  std::copy_n(f.begin(), limit_state.size(), limit_state.begin());
  given_->below(f, given_->centres(batch, {columns.centre(), f.size()}), f);
}

std::optional<std::size_t> last_driven(const scenario::Scenario& scenario) {
  for (std::size_t fill = scenario.fills.size(); fill-- > 1;) {
    if (!scenario.fills[fill].indicated_l) return fill;
  }
  return {};
}

namespace {

/// The gauge error below which some reading leaves less than the pickup floor.
double least_gauge_error(const scenario::Scenario& scenario) {
  double lowest = scenario.heel.indicated_l;
  for (const scenario::Fill& fill : scenario.fills) {
    lowest = std::min(lowest, fill.indicated_l.value_or(lowest));
  }
  return scenario.tank.pickup_floor_l - lowest;
}

}  // namespace

double chance_dry_by_gauge(const scenario::Scenario& scenario) {
  const double floor = scenario.tank.pickup_floor_l;
  if (!(floor > 0.0)) return 0.0;
  return sampling::chance_of_either_below(CaseInputs(scenario), Slot::gauge_error,
                                          least_gauge_error(scenario), Slot::click_off, floor);
}

bool dry_is_correlated(const CaseInputs& inputs) {
  const auto& slots = inputs.correlations().slots;
  return std::any_of(slots.begin(), slots.end(), [](std::size_t slot) {
    return slot == Slot::gauge_error || slot == Slot::click_off;
  });
}

scenario::Scenario not_dry_by_gauge(scenario::Scenario scenario) {
  constexpr double k_far = 1e12;  // litres
  const auto cut = [](distributions::Distribution& law, double low) {
    if (distributions::cdf_below(law, low) > 0.0) law = distributions::truncated(law, low, k_far);
  };
  cut(scenario.heel.gauge_error, least_gauge_error(scenario));
  cut(scenario.tank.click_off, scenario.tank.pickup_floor_l);
  return scenario;
}

}  // namespace blendrisk::tank
