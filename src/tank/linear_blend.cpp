#include "tank/linear_blend.hpp"

#include <algorithm>
#include <array>

#include "models/infinity.hpp"
#include "numeric/target_clones.hpp"
#include "sampling/joint_sampler.hpp"
#include "tank/first_reading.hpp"

namespace blendrisk::tank {
namespace {

using sampling::CaseBatch;
using sampling::Slot;

// The x at which a + b x crosses the limit; where b = 0, beyond the side that every x is on.
BLENDRISK_CLONES void threshold_loop(double limit, const double* a, const double* b, double* t,
                                     double at_limit, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double room = limit - a[i];
    const double step = room > 0.0 ? k_infinity : (room < 0.0 ? -k_infinity : at_limit);
    const double divided = room / (b[i] > 0.0 ? b[i] : 1.0);
    t[i] = b[i] > 0.0 ? divided : step;
  }
}

// Shares below t of contents held within [0, 1]: none below 0, all below anything past 1.
BLENDRISK_CLONES void hold_below(const double* t, double* p, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) p[i] = t[i] <= 0.0 ? 0.0 : (t[i] > 1.0 ? 1.0 : p[i]);
}

BLENDRISK_CLONES void hold_above(const double* t, double* q, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) q[i] = t[i] < 0.0 ? 1.0 : (t[i] >= 1.0 ? 0.0 : q[i]);
}

constexpr std::size_t k_chunk = 512;

[[noreturn]] void refuse_empty(const std::string& key) {
  throw estimate::ImpossibleScenario(estimate::Impossible::empty_tank, key);
}

/// The first later fill that leaves nothing in the tank in some of 4096 cases; 0: none does.
std::size_t fill_that_empties(const sampling::CaseInputs& inputs) {
  constexpr std::size_t k_cases = 4096;
  const sampling::JointSampler sampler = sampling::sampler_of_all(inputs);
  const LinearBlend volumes(inputs, {});
  CaseBatch batch(inputs, k_chunk);
  estimate::BlendColumns columns(k_chunk);
  std::array<double, k_chunk> u{};
  for (std::size_t first = 0; first < k_cases; first += k_chunk) {
    sampler.draw_points(sampling::k_emptying, first, u, batch);
    for (std::size_t fill = 0; fill < inputs.fills(); ++fill) {
      volumes.fill_volumes(batch, fill, k_chunk, columns);
      if (fill == 0) continue;
      for (std::size_t i = 0; i < k_chunk; ++i) {
        if (!(columns.total()[i] > 0.0)) return fill;
      }
    }
  }
  return 0;
}

}  // namespace

void require_fuel(const sampling::CaseInputs& inputs) {
  const std::string key = inputs.may_empty();
  if (!key.empty()) refuse_empty(key);
  if (inputs.fills() == 1) return;
  if (const std::size_t fill = fill_that_empties(inputs)) {
    refuse_empty(inputs.key(Slot::content(fill)));
  }
}

LinearBlend::LinearBlend(const sampling::CaseInputs& inputs, std::optional<std::size_t> conditioned,
                         std::span<const std::size_t> drawn)
    : inputs_(&inputs), conditioned_(conditioned) {
  if (inputs.weighted()) evidence_ = std::make_shared<const DispenserEvidence>(inputs, drawn);
}

void LinearBlend::fill_volumes(CaseBatch& batch, std::size_t fill, std::size_t n,
                               estimate::BlendColumns& out) const {
  const scenario::Scenario& scenario = inputs_->scenario();
  const double* click_off = batch.column(Slot::click_off);
  const double* gauge = batch.column(Slot::gauge_error);
  const scenario::Fill& what = scenario.fills[fill];
  if (fill == 0 && scenario.heel.burned_l) evidence_->look_again(batch, n, out);
  if (what.shown_l) return evidence_->fill(batch, fill, n, out);
  if (fill == 0) {
    FirstReading(*inputs_, batch).heels(gauge, click_off, out.heel(), n);
  } else {
    std::copy_n(out.total(), n, out.earlier_total());
    if (what.indicated_l) {
      models::heel_volumes(*what.indicated_l, gauge, out.earlier_total(), out.heel(), n);
    } else {
      models::heels_after_burning(out.earlier_total(), batch.column(Slot::burned(fill)), click_off,
                                  out.heel(), n);
    }
  }
  const models::PartsColumns parts = out.parts();
  // Where nothing is in the tank at all the old fuel counts; require_fuel has seen to it that this
  // is rare.
  models::fill_batch(what.amount_l.value_or(k_infinity), batch.column(Slot::meter_error(fill)),
                     out.heel(), batch.column(Slot::hose_volume(fill)), click_off, parts, n);
}

void LinearBlend::mix(const CaseBatch& batch, std::size_t fill, std::size_t n,
                      estimate::BlendColumns& out) const {
  const models::PartsColumns parts = out.parts();
  const bool by_hose = conditioned_ == Slot::hose_content(fill);
  const bool by_fresh = conditioned_ == Slot::content(fill);
  models::mix_batch(parts, by_hose ? out.zeros() : batch.column(Slot::hose_content(fill)),
                    by_fresh ? out.zeros() : batch.column(Slot::content(fill)), out.a(), n);
  if (!conditioned_) return;
  models::mix_batch(parts, by_hose ? out.ones() : out.zeros(), by_fresh ? out.ones() : out.zeros(),
                    out.b(), n);
}

void LinearBlend::evaluate(CaseBatch& batch, std::size_t n, estimate::BlendColumns& out) const {
  const double* old_fuel = batch.column(Slot::old_fuel);
  if (conditioned_ == Slot::old_fuel) {
    std::fill_n(out.a(), n, 0.0);
    std::fill_n(out.b(), n, 1.0);
  } else {
    std::fill_n(out.b(), n, 0.0);
    if (inputs_->by_reading()) {
      models::contents_from_reading(*inputs_->scenario().heel.reading, old_fuel, out.a(), n);
    } else {
      std::copy_n(old_fuel, n, out.a());
    }
  }
  for (std::size_t fill = 0; fill < inputs_->fills(); ++fill) {
    fill_volumes(batch, fill, n, out);
    mix(batch, fill, n, out);
  }
}

namespace {

/// A standard deviation or so, positive for every law that is not exact: the middle two thirds, and
/// for laws that are mostly one value a share of the rarer ones.
double spread_of(const distributions::Distribution& law) {
  const auto between = [&law](double tail) {
    return distributions::quantile(law, 1.0 - tail) - distributions::quantile(law, tail);
  };
  return std::max({0.5 * between(0.16), 0.05 * between(0.001), 1e-4 * between(1e-9)});
}

}  // namespace

std::optional<std::size_t> content_to_condition_on(const sampling::CaseInputs& inputs,
                                                   std::span<const std::size_t> left_out) {
  CaseBatch batch(inputs, 1);  // holds medians
  estimate::BlendColumns columns(1);
  std::optional<std::size_t> best;
  double most = 0.0;
  const auto consider = [&](std::size_t slot) {
    if (!inputs[slot].uncertain || std::ranges::count(left_out, slot) > 0) return;
    LinearBlend(inputs, slot).evaluate(batch, 1, columns);
    // Given the others: what they tell of it already is no spread of its own.
    const double own = sampling::ConditionalLaw(inputs, inputs.uncertain(slot), slot).own();
    const double effect = *columns.b() * spread_of(inputs[slot].law) * own;
    if (!(effect > most)) return;
    most = effect;
    best = slot;
  };
  for (std::size_t fill = inputs.fills(); fill-- > 0;) {
    consider(Slot::content(fill));
    consider(Slot::hose_content(fill));
  }
  consider(Slot::old_fuel);
  return best;
}

ConditionedContent::ConditionedContent(const sampling::CaseInputs& inputs, std::size_t slot,
                                       std::span<const std::size_t> drawn)
    : law_(inputs, drawn, slot),
      reflected_(slot == Slot::old_fuel && inputs.by_reading()),
      reading_(reflected_ ? *inputs.scenario().heel.reading : 0.0) {}

void ConditionedContent::outside(estimate::Side side, double limit, const double* a,
                                 const double* b, std::span<const double> m,
                                 std::span<double> p) const {
  const bool below = side == estimate::Side::below;
  // What is below reading − bias is above in the bias.
  const bool lower_tail = below != reflected_;
  std::array<double, k_chunk> t;  // NOLINT: written before it is read
  for (std::size_t from = 0; from < p.size(); from += k_chunk) {
    const std::size_t n = std::min(k_chunk, p.size() - from);
    const std::span<double> part = p.subspan(from, n);
    const std::span<const double> centre = m.empty() ? m : m.subspan(from, n);
    threshold_loop(limit, a + from, b + from, t.data(), below ? -k_infinity : k_infinity, n);
    for (std::size_t i = 0; i < n; ++i) part[i] = reflected_ ? reading_ - t[i] : t[i];
    if (lower_tail) {
      law_.below(part, centre, part);
    } else {
      law_.above(part, centre, part);
    }
    (below ? hold_below : hold_above)(t.data(), part.data(), n);
  }
}

}  // namespace blendrisk::tank
