#include "tank/dispenser_evidence.hpp"

#include <algorithm>
#include <cmath>

#include "models/blend_batch.hpp"
#include "models/infinity.hpp"
#include "numeric/vector_math.hpp"
#include "scenario/told.hpp"
#include "tank/first_reading.hpp"

namespace blendrisk::tank {
namespace {

using sampling::CaseBatch;
using sampling::Slot;

constexpr double k_half_step_l = 0.005;

}  // namespace

DispenserEvidence::DispenserEvidence(const sampling::CaseInputs& inputs,
                                     std::span<const std::size_t> drawn)
    : inputs_(inputs) {
  std::vector<std::size_t> given(drawn.begin(), drawn.end());
  if (const auto input = scenario::told_by_gauge(inputs.scenario())) {
    const std::size_t slot = Slot::of(*input);
    way_.emplace(Told{slot, sampling::ConditionalLaw(inputs, given, slot)});
    given.push_back(slot);
  }
  for (std::size_t fill = 0; fill < inputs.fills(); ++fill) {
    told_.emplace_back();
    const auto input = scenario::told_by_dispenser(inputs.scenario(), fill);
    if (!input) continue;
    const std::size_t slot = Slot::of(*input, fill);
    told_.back().emplace(Told{slot, sampling::ConditionalLaw(inputs, given, slot)});
    given.push_back(slot);
  }
}

void DispenserEvidence::start(std::size_t n, estimate::BlendColumns& out) {
  std::fill_n(out.weight(), n, 1.0);
  std::fill_n(out.misfit(), n, 0.0);
}

void DispenserEvidence::look_again(CaseBatch& batch, std::size_t n,
                                   estimate::BlendColumns& out) const {
  start(n, out);
  const double burned = *inputs_.scenario().heel.burned_l;
  double* distance = batch.column(Slot::of(scenario::Uncertain::to_pump));
  double* economy = batch.column(Slot::of(scenario::Uncertain::economy));
  if (!way_) {
    for (std::size_t i = 0; i < n; ++i) {
      const double off = distance[i] * economy[i] - burned;
      if (!(std::abs(off) > k_half_step_l)) continue;
      out.weight()[i] = 0.0;
      out.misfit()[i] = off * off;
    }
    return;
  }
  const bool by_economy = way_->slot == Slot::of(scenario::Uncertain::economy);
  const double* other = by_economy ? distance : economy;
  double* x = by_economy ? economy : distance;
  for (std::size_t i = 0; i < n; ++i) {
    const double by = std::max(other[i], 1e-12);
    x[i] = burned / by;
    // Draws are held at 0.
    out.from()[i] = burned > k_half_step_l ? (burned - k_half_step_l) / by : -k_infinity;
    out.to()[i] = (burned + k_half_step_l) / by;
  }
  weigh(*way_, batch, n, out);
}

void DispenserEvidence::fill(CaseBatch& batch, std::size_t fill, std::size_t n,
                             estimate::BlendColumns& out) const {
  if (fill == 0) {
    if (!inputs_.scenario().heel.burned_l) start(n, out);
  } else {
    std::copy_n(out.total(), n, out.earlier_total());
  }
  const scenario::Fill& done = inputs_.scenario().fills[fill];
  const bool by_hand = done.stopped_by == scenario::StoppedBy::hand;
  if (!told_[fill] || told_[fill]->slot != Slot::gauge_error) heels(batch, fill, n, out);
  if (told_[fill]) {
    tell(batch, fill, n, out);
    weigh(*told_[fill], batch, n, out);
  } else if (by_hand) {
    stop_by_hand(batch, fill, n, out);
  }
  models::fill_batch(*done.shown_l, batch.column(Slot::meter_error(fill)), out.heel(),
                     batch.column(Slot::hose_volume(fill)), out.unbounded(), out.parts(), n);
}

// As far as the others tell: neither held below a click-off that is told itself, nor below one that
// a stop by hand lies under.
void DispenserEvidence::heels(CaseBatch& batch, std::size_t fill, std::size_t n,
                              estimate::BlendColumns& out) const {
  const scenario::Scenario& scenario = inputs_.scenario();
  const double* gauge = batch.column(Slot::gauge_error);
  if (fill == 0) {
    FirstReading(inputs_, batch).heels(gauge, out.unbounded(), out.heel(), n);
  } else if (const auto& indicated = scenario.fills[fill].indicated_l) {
    models::heel_volumes(*indicated, gauge, out.earlier_total(), out.heel(), n);
  } else {
    models::heels_after_burning(out.earlier_total(), batch.column(Slot::burned(fill)),
                                out.unbounded(), out.heel(), n);
  }
}

// The told input where the dispenser shows just this much, and the least and the most that it is
// where the figure is rounded to it. All values that leave an empty tank give the same figure.
void DispenserEvidence::tell(CaseBatch& batch, std::size_t fill, std::size_t n,
                             estimate::BlendColumns& out) const {
  const double shown = *inputs_.scenario().fills[fill].shown_l;
  const FirstReading indicated(inputs_, batch);
  const std::size_t slot = told_[fill]->slot;
  const double* click_off = batch.column(Slot::click_off);
  const double* meter = batch.column(Slot::meter_error(fill));
  double* x = batch.column(slot);
  double* heel = out.heel();
  double* from = out.from();
  double* to = out.to();
  if (slot == Slot::meter_error(fill)) {
    for (std::size_t i = 0; i < n; ++i) {
      const double delivered = click_off[i] - heel[i];
      x[i] = delivered / shown - 1.0;
      from[i] = delivered / (shown + k_half_step_l) - 1.0;
      to[i] = delivered / std::max(shown - k_half_step_l, 1e-6) - 1.0;
    }
    return;
  }
  for (std::size_t i = 0; i < n; ++i) {
    const double delivered = shown * (1.0 + meter[i]);
    const double half = k_half_step_l * (1.0 + meter[i]);
    if (slot == Slot::click_off) {
      x[i] = heel[i] + delivered;
      from[i] = x[i] - half;
      to[i] = x[i] + half;
      continue;
    }
    const double left = click_off[i] - delivered;
    heel[i] = std::max(left, 0.0);
    if (slot == Slot::gauge_error) {
      x[i] = heel[i] - indicated[i];
      from[i] = left - half > 0.0 ? left - half - indicated[i] : -k_infinity;
      to[i] = left + half - indicated[i];
      if (left + half < 0.0) to[i] = -k_infinity;
    } else {
      const double before = out.earlier_total()[i];
      x[i] = std::max(before - heel[i], 0.0);
      from[i] = before - left > half ? before - left - half : -k_infinity;
      to[i] = left > half ? before - left + half : k_infinity;
      if (left + half < 0.0) from[i] = k_infinity;
      if (before - left + half < 0.0) to[i] = -k_infinity;
    }
  }
}

void DispenserEvidence::weigh(const Told& told, CaseBatch& batch, std::size_t n,
                              estimate::BlendColumns& out) const {
  const std::span<const double> centres = told.law.centres(batch, {out.centre(), n});
  const std::span<double> from(out.from(), n);
  const std::span<double> to(out.to(), n);
  const std::span<double> low(out.low(), n);
  const std::span<double> high(out.high(), n);
  told.law.below(from, centres, low);
  told.law.below(to, centres, high);
  told.law.above(from, centres, from);
  told.law.above(to, centres, to);
  const auto& row = told.law.row();
  double* own = row.correlated ? batch.score(row.column) : nullptr;
  for (std::size_t i = 0; i < n; ++i) {
    // The difference of the smaller tails, and the score between them.
    const bool lower = low[i] < 0.5;
    const double mass = lower ? high[i] - low[i] : from[i] - to[i];
    const double tail = std::clamp(0.5 * (lower ? low[i] + high[i] : from[i] + to[i]), 1e-300, 0.5);
    const double score = lower ? numeric::normal_quantile(tail) : -numeric::normal_quantile(tail);
    out.weight()[i] *= std::max(mass, 0.0);
    out.misfit()[i] += score * score;
    if (own != nullptr) own[i] = score;
  }
}

void DispenserEvidence::stop_by_hand(const CaseBatch& batch, std::size_t fill, std::size_t n,
                                     estimate::BlendColumns& out) const {
  const double shown = *inputs_.scenario().fills[fill].shown_l;
  const double* click_off = batch.column(Slot::click_off);
  const double* meter = batch.column(Slot::meter_error(fill));
  for (std::size_t i = 0; i < n; ++i) {
    const double over = out.heel()[i] + shown * (1.0 + meter[i]) - click_off[i];
    if (!(over > 0.0)) continue;
    out.weight()[i] = 0.0;
    out.misfit()[i] += over * over;
  }
}

}  // namespace blendrisk::tank
