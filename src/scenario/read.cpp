#include "scenario/read.hpp"

#include <stdexcept>

#include "scenario/correlation.hpp"
#include "scenario/schedule.hpp"
#include "scenario/values.hpp"

namespace blendrisk::scenario {
namespace {

Tank read_tank(const Values& values) {
  Tank tank;
  tank.capacity_l = values.quantity("tank.capacity");
  tank.click_off = values.optional_distribution("tank.click-off")
                       .value_or(distributions::exact(tank.capacity_l));
  tank.pickup_floor_l = values.quantity("tank.pickup-floor");
  if (tank.pickup_floor_l >= tank.capacity_l) {
    values.fail("tank.pickup-floor", "is not below tank.capacity; less than the capacity");
  }
  return tank;
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

Heel read_heel(const Values& values, double capacity_l) {
  Heel heel;
  read_indicated(values, capacity_l, heel);
  heel.gauge_error = values.distribution("heel.gauge-error");
  heel.content = values.optional_distribution("heel.content");
  heel.reading = values.optional_quantity("heel.reading");
  if (heel.content && heel.reading) {
    values.fail("heel.reading", "is given beside heel.content; one or the other is accepted");
  }
  if (!heel.content && !heel.reading) {
    values.fail("heel.content", "is required; a content such as 10 %, or heel.reading");
  }
  return heel;
}

Sensor read_sensor(const Values& values) {
  return {values.distribution("sensor.bias"), values.quantity("sensor.noise"),
          values.quantity("sensor.step"), values.quantity("sensor.lag")};
}

Fill read_fill(const Values& values, const std::string& fuel, const std::string& fill) {
  Fill result;
  result.content = values.distribution(fuel + ".content");
  result.meter_error = values.distribution(fuel + ".meter-error");
  result.hose_volume = values.distribution(fuel + ".hose-volume");
  result.hose_content = values.distribution(fuel + ".hose-content");
  result.price_per_l = values.optional_quantity(fuel + ".price");
  if (values.word(fill + ".amount") != "click-off") {
    result.amount_l = values.quantity(fill + ".amount");
  }
  return result;
}

Fill read_later_fill(const Values& values, const std::string& section, double capacity_l) {
  Fill fill = read_fill(values, section, section);
  fill.burn_first = values.distribution(section + ".burn-first");
  fill.indicated_l = values.optional_quantity(section + ".indicated");
  if (fill.indicated_l && values.has(section + ".burn-first")) {
    values.fail(section + ".indicated",
                "is given beside " + section + ".burn-first; one or the other is accepted");
  }
  if (fill.indicated_l && *fill.indicated_l > capacity_l) {
    values.fail(section + ".indicated", "is more than tank.capacity; at most the capacity");
  }
  return fill;
}

std::vector<Fill> read_fills(const Values& values, double capacity_l) {
  std::vector<Fill> fills{read_fill(values, "fuel", "fill")};
  std::string missing;
  for (int n = 2; n <= k_last_fill; ++n) {
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
    fills.push_back(read_later_fill(values, section, capacity_l));
  }
  return fills;
}

Line read_line(const Values& values) {
  Line line;
  line.reservoir = values.distribution("line.reservoir");
  line.filter = values.distribution("line.filter");
  line.pipe = values.distribution("line.pipe");
  line.beyond_sensor = values.distribution("line.beyond-sensor");
  line.return_flow = values.distribution("line.return-flow");
  line.content = values.optional_distribution("line.content");
  const std::string flow = values.word("line.pipe-flow");
  if (flow == "plug") {
    line.pipe_flow = PipeFlow::plug;
  } else if (flow != "laminar") {
    values.fail("line.pipe-flow", "is neither law of the pipe; laminar or plug");
  }
  return line;
}

Engine read_engine(const Values& values) {
  Engine engine;
  engine.idle = values.optional_distribution("engine.idle");
  engine.gentle = values.optional_distribution("engine.gentle");
  try {
    engine.schedule = parse_schedule(values.word("engine.schedule"));
  } catch (const std::invalid_argument& error) {
    values.fail(
        "engine.schedule",
        error.what() + std::string("; phases of idle and gentle such as idle 4 min, gentle"));
  }
  if (!values.has("engine.schedule")) return engine;
  for (const Phase& phase : engine.schedule) {
    const bool idle = phase.load == Load::idle;
    if (!(idle ? engine.idle : engine.gentle)) {
      values.fail("engine.schedule", std::string("has a phase of ") + (idle ? "idle" : "gentle") +
                                         " with no rate for it; engine." +
                                         (idle ? "idle" : "gentle") + " = 0.9 L/h gives one");
    }
  }
  return engine;
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
void require_uncertain(const Values& values, const std::string& line, const std::string& key) {
  const std::string section = key.substr(0, key.find('.'));
  const bool there = !section.starts_with("fill-") || values.has_section(section);
  const auto law = there ? values.optional_distribution(key) : std::nullopt;
  if (!law) values.fail(line, key + " is not given; " + k_correlation_accepted);
  if (distributions::is_exact(*law)) {
    values.fail(line, key + " is exact; " + k_correlation_accepted);
  }
}

std::vector<Correlation> read_correlations(const Values& values) {
  std::vector<Correlation> result;
  for (const std::string& line : values.correlations()) {
    const auto [first, second] = correlated_keys(line);
    require_uncertain(values, line, first);
    require_uncertain(values, line, second);
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

std::vector<Measured> read_measured(const Values& values) {
  std::vector<Measured> measured;
  for (const Given& given : values.given()) {
    const Key* key = find_key(given.key);
    if (key == nullptr || key->kind != Kind::uncertain) continue;
    const Distribution law = values.distribution(given.key);
    if (const auto* steps = std::get_if<distributions::Empirical>(&law.law())) {
      measured.push_back({given.key, steps->sorted->size()});
    }
  }
  return measured;
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
  scenario.tank = read_tank(values);
  scenario.heel = read_heel(values, scenario.tank.capacity_l);
  scenario.sensor = read_sensor(values);
  scenario.fills = read_fills(values, scenario.tank.capacity_l);
  scenario.line = read_line(values);
  scenario.engine = read_engine(values);
  scenario.limits = read_limits(values);
  scenario.correlations = read_correlations(values);
  scenario.given = values.given();
  scenario.defaults = read_defaults(values, scenario);
  scenario.measured = read_measured(values);
  return scenario;
}

}  // namespace blendrisk::scenario
