#include "scenario/read.hpp"

#include <stdexcept>

#include "scenario/correlation.hpp"
#include "scenario/keys.hpp"
#include "scenario/schedule.hpp"
#include "scenario/values.hpp"

namespace blendrisk::scenario {
namespace {

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

void read_indicated(const Values& values, double capacity_l, Heel& heel) {
  const bool by_distance = values.has("heel.distance-left");
  if (values.has("heel.indicated")) {
    for (const char* key : {"heel.distance-left", "heel.economy", "heel.reserve"}) {
      if (values.has(key)) {
        values.fail(key, "is given beside heel.indicated; one or the other is accepted");
      }
    }
    heel.indicated_l = values.quantity("heel.indicated");
  } else if (by_distance || values.has("heel.economy") || values.has("heel.reserve")) {
    const double distance_km = values.quantity("heel.distance-left");
    heel.economy_l_per_km = values.quantity("heel.economy");
    heel.reserve_l = values.quantity("heel.reserve");
    heel.indicated_l = heel.reserve_l + distance_km * *heel.economy_l_per_km;
  } else {
    values.fail("heel.indicated",
                "is required; a volume such as 4 L, or heel.distance-left with heel.economy");
  }
  if (heel.indicated_l > capacity_l) {
    values.fail(by_distance ? "heel.distance-left" : "heel.indicated",
                "leaves more in the tank than tank.capacity; at most the capacity");
  }
}

void read_heel(const Values& values, Scenario& scenario) {
  Heel& heel = scenario.heel;
  read_indicated(values, scenario.tank.capacity_l, heel);
  values.take_laws("heel", scenario);
  heel.reading = values.optional_quantity("heel.reading");
  if (heel.content && heel.reading) {
    values.fail("heel.reading", "is given beside heel.content; one or the other is accepted");
  }
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

/// The last fill so far.
void read_fill(const Values& values, const std::string& fuel, const std::string& fill,
               Scenario& scenario) {
  values.take_laws(fuel, scenario);
  scenario.fills.back().price_per_l = values.optional_quantity(fuel + ".price");
  if (values.word(fill + ".amount") != "click-off") {
    scenario.fills.back().amount_l = values.quantity(fill + ".amount");
  }
}

void read_later_fill(const Values& values, const std::string& section, Scenario& scenario) {
  read_fill(values, section, section, scenario);
  Fill& fill = scenario.fills.back();
  fill.indicated_l = values.optional_quantity(section + ".indicated");
  if (fill.indicated_l && values.has(section + ".burn-first")) {
    values.fail(section + ".indicated",
                "is given beside " + section + ".burn-first; one or the other is accepted");
  }
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
  try {
    engine.schedule = parse_schedule(values.word("engine.schedule"));
  } catch (const std::invalid_argument& error) {
    values.fail(
        "engine.schedule",
        error.what() + std::string("; phases of idle and gentle such as idle 4 min, gentle"));
  }
  if (!values.has("engine.schedule")) return;
  for (const Phase& phase : engine.schedule) {
    const bool idle = phase.load == Load::idle;
    if (!(idle ? engine.idle : engine.gentle)) {
      values.fail("engine.schedule", std::string("has a phase of ") + (idle ? "idle" : "gentle") +
                                         " with no rate for it; engine." +
                                         (idle ? "idle" : "gentle") + " = 0.9 L/h gives one");
    }
  }
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
    // Here, so that the line that brings the conflict is named.
    const std::vector<std::string> conflict = conflicting(result);
    if (conflict.empty()) continue;
    std::string names;
    for (std::size_t i = 0; i < conflict.size(); ++i) {
      names += (i == 0 ? "" : i + 1 < conflict.size() ? ", " : " and ") + conflict[i];
    }
    values.fail(line, "the correlations of " + names +
                          " exclude each other (their matrix is not positive definite); weaker "
                          "ones are accepted");
  }
  return result;
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
              const ReadText& read_text) {
  const Values values(source, overrides, read_text);
  Scenario scenario;
  scenario.title = values.has("title") ? values.word("title") : file_name_of(source.name);
  read_tank(values, scenario);
  read_heel(values, scenario);
  read_sensor(values, scenario);
  read_fills(values, scenario);
  read_line(values, scenario);
  read_engine(values, scenario);
  scenario.limits = read_limits(values);
  scenario.correlations = read_correlations(values, scenario);
  scenario.given = values.given();
  scenario.defaults = read_defaults(values, scenario);
  return scenario;
}

}  // namespace blendrisk::scenario
