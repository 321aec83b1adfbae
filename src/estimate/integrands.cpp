#include "estimate/integrands.hpp"

#include <algorithm>
#include <limits>

namespace blendrisk::estimate {
namespace {

using sampling::CaseBatch;
using sampling::CaseInputs;
using sampling::Slot;

constexpr double kInfinity = std::numeric_limits<double>::infinity();

/// The uncertain inputs that volumes up to and including fill `last` depend on.
std::vector<std::size_t> volume_slots(const CaseInputs& inputs, std::size_t last,
                                      std::size_t left_out) {
  std::vector<std::size_t> slots;
  const auto add = [&](std::size_t slot) {
    if (inputs[slot].uncertain && slot != left_out) slots.push_back(slot);
  };
  add(Slot::gauge_error);
  add(Slot::click_off);
  for (std::size_t fill = 0; fill <= last; ++fill) {
    add(Slot::burned(fill));
    add(Slot::meter_error(fill));
  }
  return slots;
}

}  // namespace

OutsideLimit::OutsideLimit(const Landing& landing, Side side, double limit)
    : landing_(landing), side_(side), limit_(limit) {
  if (landing.conditioned()) law_.emplace(landing.inputs(), *landing.conditioned());
}

void OutsideLimit::evaluate(const CaseBatch& batch, LandingColumns& columns, std::span<double> f,
                            std::span<double> nearness) const {
  landing_.evaluate(batch, f.size(), columns);
  const double* a = columns.a();
  const double* b = columns.b();
  const double sign = side_ == Side::below ? 1.0 : -1.0;
  if (!law_) {
    for (std::size_t i = 0; i < f.size(); ++i) f[i] = sign * (limit_ - a[i]) > 0.0 ? 1.0 : 0.0;
  } else if (side_ == Side::below) {
    law_->below(limit_, a, b, f);
  } else {
    law_->above(limit_, a, b, f);
  }
  for (std::size_t i = 0; i < nearness.size(); ++i) {
    const double room = sign * (limit_ - a[i]);
    nearness[i] = b[i] > 0.0 ? room / b[i] : room;
  }
}

ClicksOffEarly::ClicksOffEarly(const CaseInputs& inputs)
    : volumes_(inputs, {}), inner_(inputs.size()) {
  const std::size_t last = inputs.fills() - 1;
  if (last == 0 && inputs[Slot::gauge_error].uncertain) {
    inner_ = Slot::gauge_error;
  } else if (inputs[Slot::meter_error(last)].uncertain) {
    inner_ = Slot::meter_error(last);
  }
  slots_ = volume_slots(inputs, last, inner_);
}

void ClicksOffEarly::evaluate(const CaseBatch& batch, LandingColumns& columns, std::span<double> f,
                              std::span<double> nearness) const {
  const CaseInputs& inputs = volumes_.inputs();
  const std::size_t n = f.size();
  const std::size_t last = inputs.fills() - 1;
  const double shown = *inputs.scenario().fills[last].amount_l;
  const double* click_off = batch.column(Slot::click_off);
  for (std::size_t fill = 0; fill <= last; ++fill) volumes_.fill_volumes(batch, fill, n, columns);
  for (std::size_t i = 0; i < n; ++i) {
    double least = 0.0;  // of the inner input, for the nozzle to click off
    if (inner_ == Slot::gauge_error) {
      const double ordered = shown * (1.0 + batch.column(Slot::meter_error(last))[i]);
      const double heel = click_off[i] - ordered;
      least = !(ordered > 0.0) ? kInfinity
                               : (heel < 0.0 ? -kInfinity : heel - inputs.scenario().heel.indicated_l);
    } else if (inner_ == Slot::meter_error(last)) {
      least = shown > 0.0 ? (click_off[i] - columns.heel()[i]) / shown - 1.0 : kInfinity;
    } else {
      least = -columns.short_l()[i];
    }
    f[i] = inner_ < inputs.size() ? distributions::complement(inputs[inner_].law, least)
                                  : (least < 0.0 ? 1.0 : 0.0);
    if (!nearness.empty()) nearness[i] = -least;
  }
}

RunsDryLater::RunsDryLater(const CaseInputs& inputs)
    : volumes_(inputs, {}), inner_(Slot::burned(inputs.fills() - 1)) {
  if (!inputs[inner_].uncertain) inner_ = inputs.size();
  slots_ = volume_slots(inputs, inputs.fills() - 1, inner_);
}

void RunsDryLater::evaluate(const CaseBatch& batch, LandingColumns& columns, std::span<double> f,
                            std::span<double> nearness) const {
  const CaseInputs& inputs = volumes_.inputs();
  const std::size_t n = f.size();
  const std::size_t last = inputs.fills() - 1;
  const double floor = inputs.scenario().tank.pickup_floor_l;
  std::fill(f.begin(), f.end(), 0.0);
  std::fill(nearness.begin(), nearness.end(), -kInfinity);
  std::vector<char> at_first(n, 0);
  for (std::size_t fill = 0; fill <= last; ++fill) {
    volumes_.fill_volumes(batch, fill, n, columns);
    for (std::size_t i = 0; i < n; ++i) {
      if (fill == 0) {
        at_first[i] = columns.heel()[i] < floor ? 1 : 0;
        continue;
      }
      double dry = columns.heel()[i] < floor ? 1.0 : 0.0;
      double lack = floor - columns.heel()[i];
      if (fill == last && inner_ < inputs.size()) {
        const double left = columns.earlier_total()[i] - floor;
        dry = left < 0.0 ? 1.0 : distributions::complement(inputs[inner_].law, left);
        lack = -left;
      }
      f[i] = at_first[i] != 0 ? 0.0 : std::max(f[i], dry);
      if (!nearness.empty()) nearness[i] = std::max(nearness[i], lack);
    }
  }
}

double chance_dry_at_first(const CaseInputs& inputs) {
  const scenario::Scenario& scenario = inputs.scenario();
  const double floor = scenario.tank.pickup_floor_l;
  if (!(floor > 0.0)) return 0.0;
  const double low_gauge =
      distributions::cdf_below(inputs[Slot::gauge_error].law, floor - scenario.heel.indicated_l);
  const double low_click_off = distributions::cdf_below(inputs[Slot::click_off].law, floor);
  return low_gauge * (1.0 - low_click_off) + low_click_off;
}

}  // namespace blendrisk::estimate
