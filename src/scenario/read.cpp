#include "scenario/read.hpp"

#include <algorithm>
#include <utility>

#include "distributions/families.hpp"
#include "scenario/correlation.hpp"
#include "scenario/keys.hpp"
#include "scenario/schedule.hpp"
#include "scenario/told.hpp"
#include "scenario/values.hpp"
#include "scenario/way.hpp"
#include "text/error.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"

namespace blendrisk::scenario {
namespace {

void refuse_both(const Values& values, const std::string& key, const std::string& other) {
  if (!values.has(key) || !values.has(other)) return;
  values.fail(key, "is given beside " + other + "; one or the other is accepted");
}

void read_tank(const Values& values, Scenario& scenario) {
  Tank& tank = scenario.tank;
  tank.capacity_l = values.quantity("tank.capacity");
  tank.click_off = distributions::exact(tank.capacity_l);
  values.take_laws("tank", scenario);
  tank.pickup_floor_l = values.quantity("tank.pickup-floor");
  if (tank.pickup_floor_l >= tank.capacity_l) {
    values.fail("tank.pickup-floor", "is not below tank.capacity; less than the capacity");
  }
}

/// The reading away from the pump; the law of the way is in place.
void read_now(const Values& values, Heel& heel) {
  for (const char* key : {"heel.distance-left", "heel.economy", "heel.reserve"}) {
    refuse_both(values, key, "heel.now");
  }
  heel.indicated_l = values.quantity("heel.now");
}

void read_indicated(const Values& values, double capacity_l, Heel& heel) {
  const bool by_distance = values.has("heel.distance-left");
  const bool by_now = values.has("heel.now");
  if (by_now) {
    read_now(values, heel);
  } else if (values.has("heel.indicated")) {
    for (const char* key : {"heel.distance-left", "heel.economy", "heel.reserve"}) {
      refuse_both(values, key, "heel.indicated");
    }
    heel.indicated_l = values.quantity("heel.indicated");
  } else if (by_distance || values.has("heel.economy") || values.has("heel.reserve")) {
    const double distance_km = values.quantity("heel.distance-left");
    heel.economy_l_per_km = values.quantity("heel.economy");
    heel.reserve_l = values.quantity("heel.reserve");
    heel.indicated_l = heel.reserve_l + distance_km * *heel.economy_l_per_km;
  } else {
    values.fail("heel.indicated",
                "is required; a volume such as 4 L, heel.distance-left with heel.economy, or "
                "heel.now with heel.to-pump and engine.economy");
  }
  if (heel.indicated_l > capacity_l) {
    values.fail(by_now        ? "heel.now"
                : by_distance ? "heel.distance-left"
                              : "heel.indicated",
                "leaves more in the tank than tank.capacity; at most the capacity");
  }
}

void read_heel(const Values& values, Scenario& scenario) {
  Heel& heel = scenario.heel;
  read_indicated(values, scenario.tank.capacity_l, heel);
  values.take_laws("heel", scenario);
  heel.gauge_step_l = values.quantity("heel.gauge-step");
  if (heel.gauge_step_l > scenario.tank.capacity_l) {
    values.fail("heel.gauge-step", "is more than tank.capacity; a step such as 1/8 tank");
  }
  heel.gauge_error = distributions::rounded(heel.gauge_error, heel.gauge_step_l);
  heel.reading = values.optional_quantity("heel.reading");
  refuse_both(values, "heel.reading", "heel.content");
  if (!heel.content && !heel.reading) {
    values.fail("heel.content", "is required; a content such as 10 %, or heel.reading");
  }
}

void read_sensor(const Values& values, Scenario& scenario) {
  values.take_laws("sensor", scenario);
  scenario.sensor.noise_sd = values.quantity("sensor.noise");
  scenario.sensor.step = values.quantity("sensor.step");
  scenario.sensor.lag_s = values.quantity("sensor.lag");
}

void read_shown(const Values& values, const std::string& section, Fill& fill) {
  const std::string key = section + ".stopped-by";
  fill.shown_l = values.optional_quantity(section + ".shown");
  if (!fill.shown_l) {
    if (values.has(key)) values.fail(key, "is given without " + section + ".shown; both or none");
    return;
  }
  const std::string how = values.has(key) ? values.word(key) : std::string();
  if (how == "hand") {
    fill.stopped_by = StoppedBy::hand;
  } else if (how != "click-off") {
    values.fail(key, how.empty() ? "is required beside " + section + ".shown; click-off or hand"
                                 : "is neither end of a fill; click-off or hand");
  }
}

/// The last fill so far.
void read_fill(const Values& values, const std::string& fuel, const std::string& fill,
               Scenario& scenario) {
  values.take_laws(fuel, scenario);
  scenario.fills.back().price_per_l = values.optional_quantity(fuel + ".price");
  if (values.word(fill + ".amount") != "click-off") {
    scenario.fills.back().amount_l = values.quantity(fill + ".amount");
  }
  read_shown(values, fill, scenario.fills.back());
}

void read_later_fill(const Values& values, const std::string& section, Scenario& scenario) {
  read_fill(values, section, section, scenario);
  Fill& fill = scenario.fills.back();
  fill.indicated_l = values.optional_quantity(section + ".indicated");
  refuse_both(values, section + ".indicated", section + ".burn-first");
  if (fill.indicated_l && *fill.indicated_l > scenario.tank.capacity_l) {
    values.fail(section + ".indicated", "is more than tank.capacity; at most the capacity");
  }
}

void read_fills(const Values& values, Scenario& scenario) {
  scenario.fills.emplace_back();
  read_fill(values, "fuel", "fill", scenario);
  std::string missing;
  for (std::size_t n = 2; n <= k_last_fill; ++n) {
    const std::string section = "fill-" + std::to_string(n);
    if (!values.has_section(section)) {
      if (missing.empty()) missing = section;
      continue;
    }
    if (!missing.empty()) {
      for (const Given& given : values.given()) {
        if (given.key.starts_with(section + ".")) {
          values.fail(given.key, "there is no " + missing + "; fills are numbered without a gap");
        }
      }
    }
    scenario.fills.emplace_back();
    read_later_fill(values, section, scenario);
  }
}

/// The way to the pump is known where the gauge away from it is.
void require_way(const Values& values, const Scenario& scenario) {
  const bool now = values.has("heel.now");
  if (!now && scenario.heel.to_pump) {
    values.fail("heel.to-pump",
                "is given without heel.now; what the gauge shows here goes with it");
  }
  if (now && !scenario.heel.to_pump) {
    values.fail("heel.now", "is given without heel.to-pump; heel.to-pump = 40 km gives the way");
  }
  if (now && !scenario.engine.economy) {
    values.fail("heel.now",
                "is given without engine.economy; engine.economy = 9 L/100km gives what it burns");
  }
}

/// The gauge read again at the pump: its error is the same draw, so the two readings differ by what
/// the way burned and by nothing else. That may be excluded by what is known of the way. Else,
/// where the way is independent of everything, it tells nothing of what is left that the second
/// reading does not; where it is not, cases have weights (tank::DispenserEvidence).
void take_second_look(const Values& values, Scenario& scenario) {
  if (!values.has("heel.now") || !values.has("heel.indicated")) return;
  const double there_l = values.quantity("heel.indicated");
  const double burned_l = scenario.heel.indicated_l - there_l;
  if (burned_l < 0.0) {
    values.fail("heel.indicated",
                "is more than heel.now; what is left after the way, or no heel.now");
  }
  for (const std::string& line : values.correlations()) {
    const auto [first, second] = correlated_keys(line);
    if (!is_of_way(first) && !is_of_way(second)) continue;
    if (scenario.heel.gauge_step_l > 0.0) {
      values.fail("heel.gauge-step",
                  "stands beside a way that is correlated and both looks at the gauge, which are "
                  "then taken as exact; heel.now, the correlation or the step is to be left out");
    }
    scenario.heel.indicated_l = there_l;
    scenario.heel.burned_l = burned_l;
    return;
  }
  if (!may_burn(scenario, burned_l)) {
    values.fail("heel.indicated",
                "differs from heel.now by what heel.to-pump and engine.economy all but exclude; a "
                "reading, or laws of the way, that agree");
  }
  scenario = read_at_pump(std::move(scenario), there_l);
}

/// Refuses a figure that nothing is left to be learned from, or that follows a fill not done.
void require_told(const Values& values, const Scenario& scenario) {
  for (std::size_t fill = 0; fill < scenario.fills.size(); ++fill) {
    const Fill& done = scenario.fills[fill];
    if (!done.shown_l) continue;
    const std::string key = figure_key(fill);
    if (fill > 0 && !scenario.fills[fill - 1].shown_l) {
      values.fail(key, "is given where the fill before shows none; the fills before are done too");
    }
    if (done.stopped_by == StoppedBy::click_off && !told_by_dispenser(scenario, fill)) {
      values.fail(key, std::string("has nothing uncertain of its own to tell of; a spread of ") +
                           (fill == 0 ? "heel.gauge-error, tank.click-off or fuel.meter-error"
                                      : "the meter-error or burn-first of this fill") +
                           " is accepted");
    }
  }
}

void read_line(const Values& values, Scenario& scenario) {
  values.take_laws("line", scenario);
  const std::string flow = values.word("line.pipe-flow");
  if (flow == "plug") {
    scenario.line.pipe_flow = PipeFlow::plug;
  } else if (flow != "laminar") {
    values.fail("line.pipe-flow", "is neither law of the pipe; laminar or plug");
  }
}

void read_engine(const Values& values, Scenario& scenario) {
  Engine& engine = scenario.engine;
  values.take_laws("engine", scenario);
  const std::string accepted = accepted_text(*find_key("engine.schedule"));
  engine.schedule = text::at(
      values.place_of("engine.schedule"),
      [&] { return parse_schedule(values.word("engine.schedule"), accepted); }, accepted);
  if (!values.has("engine.schedule")) return;
  for (const Phase& phase : engine.schedule) {
    if (phase.load == Load::idle ? engine.idle : engine.gentle) continue;
    const std::string load = phase.load == Load::idle ? "idle" : "gentle";
    values.fail("engine.schedule", "has a phase of " + load + " with no rate for it; engine." +
                                       load + " = 0.9 L/h gives one");
  }
}

Before read_before(const Values& values) {
  const Before before{values.optional_quantity("before.minimum"),
                      values.optional_quantity("before.maximum")};
  if (before.minimum && before.maximum && *before.minimum >= *before.maximum) {
    values.fail("before.minimum", "is not below before.maximum; a minimum below the maximum");
  }
  return before;
}

Tester read_tester(const Values& values) {
  return {values.law("tester.bias"), values.quantity("tester.sd"), values.quantity("tester.step")};
}

Limits read_limits(const Values& values) {
  Limits limits;
  limits.minimum = values.optional_quantity("limits.minimum");
  limits.maximum = values.optional_quantity("limits.maximum");
  if (!limits.minimum && !limits.maximum) {
    values.fail("limits.minimum",
                "is required where there is no limits.maximum; a content such as 60 %");
  }
  if (limits.minimum && limits.maximum && *limits.minimum >= *limits.maximum) {
    values.fail("limits.minimum", "is not below limits.maximum; a minimum below the maximum");
  }
  limits.accepted_risk = values.quantity("limits.accepted-risk");
  limits.dry_risk = values.quantity("limits.dry-risk");
  return limits;
}

/// The keys of a car's or its line's inputs, by commas or spaces; none where it says so.
Policy read_policy(const Values& values) {
  const std::string key = "policy.persistent";
  std::string list = values.word(key);
  std::replace(list.begin(), list.end(), ',', ' ');
  Policy policy;
  if (text::trimmed(list) == "none") return policy;
  const std::string accepted = accepted_text(*find_key(key));
  for (const std::string_view& name : text::pieces(list, ' ')) {
    if (name.empty()) continue;
    const Key* found = find_key(name);
    if (found == nullptr || !found->row) {
      values.fail(key, text::in_quotes(name) + " is no uncertain input; " + accepted);
    }
    const Uncertain input = found->row->input;
    if (input >= Uncertain::first_of_fill && input < Uncertain::first_of_line) {
      values.fail(key, std::string(name) + " is the pump's, shared by all its cars; " + accepted);
    }
    if (std::ranges::count(policy.persistent, input) > 0) {
      values.fail(key, std::string(name) + " stands there twice; once is accepted");
    }
    policy.persistent.push_back(input);
  }
  if (policy.persistent.empty()) values.fail(key, "names nothing; " + accepted);
  return policy;
}

/// Refuses an input that no correlation can be of.
void require_uncertain(const Values& values, const Scenario& scenario, const std::string& line,
                       const std::string& key) {
  const Distribution* law = law_of(scenario, *find_key(key));
  const bool has_law = values.has(key) || !find_key(key)->default_text.empty();
  if (law == nullptr || !has_law)
    values.fail(line, key + " is not given; " + k_correlation_accepted);
  if (distributions::is_exact(*law)) {
    values.fail(line, key + " is exact; " + k_correlation_accepted);
  }
}

std::vector<Correlation> read_correlations(const Values& values, const Scenario& scenario) {
  std::vector<Correlation> result;
  for (const std::string& line : values.correlations()) {
    const auto [first, second] = correlated_keys(line);
    require_uncertain(values, scenario, line, first);
    require_uncertain(values, scenario, line, second);
    result.push_back({first, second, values.rank_correlation(line)});
  }
  // Of all together: without a line that is still to come the others may exclude each other.
  const std::vector<std::string> conflict = conflicting(result);
  if (conflict.empty()) return result;
  const std::string names = text::enumerated(conflict);
  std::string last;
  for (const std::string& line : values.correlations()) {
    const auto [first, second] = correlated_keys(line);
    const auto among = [&](const std::string& key) {
      return std::ranges::count(conflict, key) > 0;
    };
    if (among(first) && among(second)) last = line;
  }
  values.fail(last, "the correlations of " + names +
                        " exclude each other (their matrix is not positive definite); weaker ones "
                        "are accepted");
}

/// What a reader has to know was not given, with what stands in for it.
std::vector<Given> read_defaults(const Values& values, const Scenario& scenario) {
  std::vector<std::string> wanted{"tank.click-off", "tank.pickup-floor", "heel.gauge-error"};
  if (scenario.heel.reading) wanted.emplace_back("sensor.bias");
  if (scenario.fills.front().amount_l) wanted.emplace_back("fuel.meter-error");
  for (const char* key : {"fuel.hose-volume", "fill.amount", "limits.accepted-risk"}) {
    wanted.emplace_back(key);
  }
  std::vector<Given> defaults;
  for (const std::string& name : wanted) {
    if (values.has(name)) continue;
    const Key& key = *find_key(name);
    defaults.push_back({name, key.default_text.empty() ? key.default_note : key.default_text});
  }
  return defaults;
}

std::string file_name_of(const std::string& path) {
  return path.substr(path.find_last_of('/') + 1);
}

}  // namespace

Scenario read(const Source& source, const std::vector<Override>& overrides,
              const ReadText& read_text, const ReadInclude& read_include) {
  return read(source.name, with_includes(source, read_include), overrides, read_text);
}

Scenario read(const std::string& name, std::vector<Entry> entries,
              const std::vector<Override>& overrides, const ReadText& read_text) {
  const Values values(name, std::move(entries), overrides, read_text);
  Scenario scenario;
  scenario.title = values.has("title") ? values.word("title") : file_name_of(name);
  read_tank(values, scenario);
  read_heel(values, scenario);
  read_sensor(values, scenario);
  read_fills(values, scenario);
  read_line(values, scenario);
  read_engine(values, scenario);
  require_way(values, scenario);
  take_second_look(values, scenario);
  require_told(values, scenario);
  scenario.before = read_before(values);
  scenario.tester = read_tester(values);
  scenario.limits = read_limits(values);
  scenario.policy = read_policy(values);
  scenario.correlations = read_correlations(values, scenario);
  scenario.given = values.given();
  scenario.defaults = read_defaults(values, scenario);
  return scenario;
}

}  // namespace blendrisk::scenario
