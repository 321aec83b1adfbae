#include <algorithm>

#include "answer/between_fills.hpp"
#include "answer/guide.hpp"
#include "answer/shared.hpp"

namespace blendrisk::answer {
namespace {

using decide::RunOn;

std::string source_of(std::size_t leg) {
  return "chance/between/" + std::to_string(leg) + "/";
}

Value outside(const estimate::Leg& leg, std::size_t at) {
  return chance(leg.limits.outside).from(source_of(at) + "outside/chance");
}

Value outside_before(const estimate::Leg& leg, std::size_t at) {
  return chance(leg.before->outside).from(source_of(at) + "before/outside/chance");
}

Value middle(const estimate::Leg& leg, std::size_t at) {
  return content(leg.landed.quantiles[2], 1).from(source_of(at) + "landed/quantiles/0.5");
}

Value holds(const estimate::Leg& leg, std::size_t at) {
  const std::string source = source_of(at) + "landed/quantiles/";
  return say("guide.leg.holds", middle(leg, at),
             content(leg.landed.quantiles[0], 1).from(source + "0.025"),
             content(leg.landed.quantiles[4], 1).from(source + "0.975"));
}

/// Which calibration until the next fill.
Value runs_on(const Asked& asked, const decide::Guide& guide, std::size_t at) {
  const estimate::Leg& leg = guide.chance.between[at];
  const RunOn on = guide.legs[at];
  if (on == RunOn::unknown) return say("guide.leg.unknown", outside(leg, at));
  if (on == RunOn::keep) {
    return say("guide.leg.keep", old_band(asked.scenario.before), outside_before(leg, at));
  }
  if (on == RunOn::changed) return say("guide.leg.changed", outside(leg, at));
  return joined({say("guide.leg.change", outside_before(leg, at), outside(leg, at)),
                 say("guide.leg.change.how")});
}

/// What is put in at a fill that is not the last.
Value put_in(const scenario::Fill& fill) {
  if (!fill.amount_l) return say("guide.fill.up");
  return joined({say("guide.fill.amount", dispenser(*fill.amount_l)), say("guide.fill.clicks")});
}

/// Driving on until the next fill; nothing where that follows at once.
Value drive_to(const Asked& asked, const scenario::Fill& next) {
  if (next.indicated_l) {
    return say("guide.down.exactly", planned_reading(asked, *next.indicated_l));
  }
  if (is_nothing(next.burn_first)) return {};
  const auto burned = [&](double order) {
    return volume(distributions::quantile(next.burn_first, order));
  };
  if (distributions::is_exact(next.burn_first)) return say("guide.burn_first.exactly", burned(0.5));
  return say("guide.burn_first", burned(0.5), burned(0.025), burned(0.975));
}

}  // namespace

std::vector<Value> leg_steps(const Asked& asked, const decide::Guide& guide) {
  std::vector<Value> steps;
  for (std::size_t at = 0; at < guide.legs.size(); ++at) {
    steps.push_back(joined({fill_of(asked, at), put_in(asked.scenario.fills[at]),
                            holds(guide.chance.between[at], at), runs_on(asked, guide, at)}));
    if (const Value drive = drive_to(asked, asked.scenario.fills[at + 1])) steps.push_back(drive);
  }
  return steps;
}

std::vector<Value> leg_reasons(const decide::Guide& guide) {
  std::vector<Value> all;
  for (std::size_t at = 0; at < guide.legs.size(); ++at) {
    if (guide.legs[at] != RunOn::none) continue;
    const estimate::Leg& leg = guide.chance.between[at];
    all.push_back(say(has_changed(guide) && leg.fits == estimate::Fits::old_one
                          ? "guide.no_plan.leg.back"
                          : "guide.no_plan.leg",
                      count(at + 1), middle(leg, at), outside_before(leg, at), outside(leg, at)));
  }
  return all;
}

Value fill_of(const Asked& asked, std::size_t fill) {
  const std::size_t fills = asked.scenario.fills.size();
  return fills > 1 ? say("guide.fill.of", count(fill + 1), count(fills)) : Value{};
}

std::string of_fills(const Asked& asked, const std::string& id) {
  return asked.scenario.fills.size() > 1 ? id + ".several" : id;
}

bool has_changed(const decide::Guide& guide) {
  return std::count(guide.legs.begin(), guide.legs.end(), RunOn::change) > 0;
}

}  // namespace blendrisk::answer
