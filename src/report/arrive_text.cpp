#include "report/arrive_text.hpp"

#include <cmath>

#include "report/json_parts.hpp"
#include "report/labels.hpp"
#include "report/plain_text.hpp"
#include "report/sections.hpp"

namespace blendrisk::report {
namespace {

using decide::ArriveResult;
using estimate::Side;

constexpr std::size_t k_columns_left = 26;
/// Where so many cases show a reading, the others need no words.
constexpr double k_nearly_all = 0.99;

std::string outside_words(const estimate::Arrival& arrival) {
  return std::string(arrival.side == Side::below ? "less than " : "more than ") +
         content_text(arrival.limit);
}

std::string burned_and_time(double burn_l, const std::optional<double>& time_s, UnitSystem units) {
  std::string text = volume_text(burn_l, units) + " burned";
  if (time_s) text += ", " + time_text(*time_s);
  return text;
}

bool is_nothing(const distributions::Distribution& law) {
  return distributions::is_exact(law) && distributions::mean(law) == 0.0;
}

bool has_sensor_error(const scenario::Scenario& scenario) {
  return !is_nothing(scenario.sensor.bias) || scenario.sensor.noise_sd > 0.0;
}

/// Cases that show a reading, as the head of a sentence. Short of all of them it never says all.
std::string shown_text(const decide::WaitFor& wait) {
  if (wait.triggers > 0.9995) return "All";
  if (wait.triggers >= k_nearly_all) return "More than 99 %";
  return short_text(100.0 * wait.triggers, 2) + " %";
}

std::string wait_verdict(const scenario::Scenario& scenario, const ArriveResult& result,
                         UnitSystem units) {
  const decide::WaitFor& wait = result.wait_for;
  const bool rising = result.arrival.side == Side::below;
  if (wait.nothing_to_wait_for) {
    return wrapped("NOTHING TO WAIT FOR: the fuel in the line is within " +
                   content_text(result.arrival.limit) + " already.");
  }
  if (!wait.reading) return wrapped("NO READING WILL DO: " + wait.reason + ".");
  std::string text =
      "WAIT FOR " + content_text(*wait.reading) + (rising ? " OR MORE" : " OR LESS") +
      " ON THE SENSOR, held over several looks. " + shown_text(wait) + " of the cases ever show it";
  if (wait.burn_l) {
    const auto& burn = *wait.burn_l;
    text += ", after about " + volume_text(burn[1], units) +
            " burned (90 %: " + volume_text(burn[0], units) + " to " + volume_text(burn[2], units) +
            ")";
    if (wait.time_s) {
      const auto& time = *wait.time_s;
      text +=
          ", " + time_text(time[1]) + " (" + time_text(time[0]) + " to " + time_text(time[2]) + ")";
    }
  }
  text += "; then the injectors still get " + outside_words(result.arrival) + " in " +
          estimate_text(wait.too_early) +
          " of those (accepted: " + short_text(100.0 * scenario.limits.accepted_risk) + " %).";
  if (wait.triggers < k_nearly_all) {
    text += " Where it does not show, go by what is burned, but never while it shows " +
            outside_words(result.arrival) + ".";
  }
  if (wait.alike[0] != wait.alike[1]) {
    text += " Readings from " + content_text(wait.alike[0]) + " to " + content_text(wait.alike[1]) +
            " lie within the error of this estimate.";
  }
  if (!has_sensor_error(scenario)) {
    text +=
        " That leaves no room for the sensor's own error: the scenario gives it none "
        "(sensor.bias, sensor.noise).";
  }
  return wrapped(text);
}

/// With both limits, where the other one is missed too often.
std::string other_verdict(const scenario::Scenario& scenario, const ArriveResult& result) {
  const auto& other = result.beyond_other;
  if (!other || other->chance <= scenario.limits.accepted_risk) return {};
  const bool above = result.arrival.side == Side::below;
  return wrapped(std::string(above ? "ABOVE THE MAXIMUM" : "BELOW THE MINIMUM") +
                 " TOO OFTEN: the tank lands " + (above ? "above " : "below ") +
                 content_text(result.other_limit) + " in " + estimate_text(*other) +
                 " of cases, more than the accepted risk of " +
                 short_text(100.0 * scenario.limits.accepted_risk) +
                 " %. No waiting mends that: do not switch.") +
         "\n";
}

std::string burn_verdict(const ArriveResult& result, UnitSystem units) {
  const decide::EnoughBurn& enough = result.enough;
  if (!enough.burn_l) {
    return wrapped("WITHOUT A SENSOR NO BURNED AMOUNT IS ENOUGH: " + enough.reason + ".");
  }
  std::string text = "WITHOUT A SENSOR, BURN " + volume_text(*enough.burn_l, units);
  if (enough.time_s) text += " (" + time_text(*enough.time_s) + " as scheduled)";
  text += ": then the chance that the injectors still get " + outside_words(result.arrival) +
          " is " + estimate_text(enough.outside) + ".";
  // At 95 %, once that is more than the display's half step.
  if (2.0 * enough.standard_error_l > 0.5 * burn_step(units)) {
    const double steps = std::ceil(2.0 * enough.standard_error_l / burn_step(units));
    text += " Give or take " + volume_text(steps * burn_step(units), units) +
            ": the chance falls slowly there.";
  }
  return wrapped(text);
}

std::string arrival_section(const ArriveResult& result, UnitSystem units) {
  const estimate::Arrival& arrival = result.arrival;
  std::string text = heading("Until the injectors get " +
                             std::string(arrival.side == Side::below ? "at least " : "at most ") +
                             content_text(arrival.limit));
  if (arrival.burn_l) {
    const auto& burn = *arrival.burn_l;
    std::optional<double> middle_s;
    if (arrival.time_s) middle_s = (*arrival.time_s)[2];
    text += row("median", k_columns_left, burned_and_time(burn[2], middle_s, units));
    std::string range = volume_text(burn[0], units) + " to " + volume_text(burn[4], units);
    if (arrival.time_s) {
      range += ", " + time_text((*arrival.time_s)[0]) + " to " + time_text((*arrival.time_s)[4]);
    }
    text += row("95 % of cases that get it", k_columns_left, range);
  } else {
    text += row("burned", k_columns_left, "hardly any case gets it");
  }
  return text + row("never", k_columns_left, estimate_text(arrival.never));
}

std::string rail_section(const ArriveResult& result, UnitSystem units) {
  const bool time = result.arrival.has_time;
  std::string text =
      heading("Chance that the injectors still get " + outside_words(result.arrival) + " after");
  for (const estimate::RailPoint& point : result.arrival.rail) {
    text += "  " + padded(volume_text(point.burn_l, units), 10);
    if (time) text += padded(point.time_s ? time_text(*point.time_s) : "unknown", 12);
    text += estimate_text(point.outside) + "\n";
  }
  return text;
}

std::string computed(const ArriveResult& result, const estimate::Options& options) {
  constexpr std::size_t columns = 16;
  std::string text = heading("How it was computed") + row("method", columns, result.arrival.method);
  if (!result.arrival.conditioned_on.empty()) {
    text += row("conditioned on", columns,
                result.arrival.conditioned_on + ", " + label(result.arrival.conditioned_on));
  }
  return text + row("evaluations", columns, std::to_string(result.evaluations)) +
         row("seed", columns, std::to_string(options.seed));
}

std::vector<std::string> notes_of(const scenario::Scenario& scenario, const ArriveResult& result) {
  std::vector<std::string> notes;
  if (!has_sensor_error(scenario)) {
    notes.emplace_back(
        "The scenario gives the sensor no error (sensor.bias, sensor.noise): the reading to wait "
        "for leaves no room for one.");
  }
  if (!result.arrival.has_time) {
    notes.emplace_back("Without engine.idle, or what engine.schedule needs, there is no time.");
  }
  for (const estimate::Held& held : result.arrival.held) notes.push_back(held_note(held));
  return notes;
}

Json quantiles_json(const std::array<double, 5>& values) {
  Json object = Json::object();
  put_quantiles(object, values);
  return object;
}

Json rail_json(const estimate::Arrival& arrival) {
  Json points = Json::array();
  for (const estimate::RailPoint& point : arrival.rail) {
    Json object = Json::object();
    put(object, "burn", point.burn_l);
    put(object, "time", point.time_s, "the scenario has no rate for engine.schedule");
    object["estimate"] = estimate_json(point.outside);
    points.push_back(std::move(object));
  }
  return points;
}

void put_moments(Json& object, const std::string& key,
                 const std::optional<std::array<double, 5>>& values, const std::string& reason) {
  if (!values) return put_null(object, key, reason);
  object[key] = Json::object();
  object[key]["quantiles"] = quantiles_json(*values);
}

void put_shown(Json& object, const std::string& key,
               const std::optional<std::array<double, 3>>& values, const std::string& reason) {
  if (!values) return put_null(object, key, reason);
  const auto& [low, middle, high] = *values;
  Json quantiles = Json::object();
  put(quantiles, "0.05", low);
  put(quantiles, "0.5", middle);
  put(quantiles, "0.95", high);
  object[key]["quantiles"] = std::move(quantiles);
}

Json wait_json(const ArriveResult& result) {
  const decide::WaitFor& wait = result.wait_for;
  Json object = Json::object();
  put(object, "reading", wait.reading, wait.reason);
  if (!wait.reading) {
    put_null(object, "guard_band", wait.reason);
    put_null(object, "too_early", wait.reason);
    return object;
  }
  put(object, "guard_band", wait.guard_band);
  object["too_early"] = estimate_json(wait.too_early);
  put(object, "triggers", wait.triggers);
  object["alike"] = wait.alike;
  put_shown(object, "burn", wait.burn_l, "hardly any case shows the reading");
  put_shown(object, "time", wait.time_s,
            result.arrival.has_time ? "hardly any case shows the reading"
                                    : "the scenario has no rate for engine.schedule");
  return object;
}

Json enough_json(const decide::EnoughBurn& enough) {
  Json object = Json::object();
  put(object, "burn", enough.burn_l, enough.reason);
  if (!enough.burn_l) return object;
  put(object, "time", enough.time_s, "the scenario has no rate for engine.schedule");
  object["outside"] = estimate_json(enough.outside);
  put(object, "burn_standard_error", enough.standard_error_l);
  return object;
}

}  // namespace

std::string arrive_text(const scenario::Scenario& scenario, const ArriveResult& result,
                        const estimate::Options& options, UnitSystem units) {
  std::string notes;
  for (const std::string& note : notes_of(scenario, result)) notes += wrapped(note, "  - ");
  if (!notes.empty()) notes = heading("Notes") + notes;
  return title_lines(scenario) + other_verdict(scenario, result) +
         wait_verdict(scenario, result, units) + "\n" + burn_verdict(result, units) +
         arrival_section(result, units) + rail_section(result, units) +
         assumed_section(scenario, units, About::line) + computed(result, options) + notes +
         cautions_section();
}

std::string arrive_json(const scenario::Scenario& scenario, const ArriveResult& result,
                        const estimate::Options& options, double elapsed_s) {
  const estimate::Arrival& arrival = result.arrival;
  const bool rising = arrival.side == Side::below;
  Json object = opening("arrive", scenario, options, arrival.method);
  if (arrival.conditioned_on.empty()) {
    put_null(object, "conditioned_on", "the method conditions on no input");
  } else {
    object["conditioned_on"] = arrival.conditioned_on;
  }
  object["evaluations"] = result.evaluations;
  put(object, "elapsed_s", elapsed_s);
  object["side"] = rising ? "below" : "above";
  put(object, "limit", arrival.limit);
  object["never"] = estimate_json(arrival.never);
  put_moments(object, "burn", arrival.burn_l, "hardly any case arrives");
  put_moments(object, "time", arrival.time_s,
              arrival.has_time ? "hardly any case arrives"
                               : "the scenario has no rate for engine.schedule");
  object[rising ? "rail_below" : "rail_above"] = rail_json(arrival);
  object["wait_for"] = wait_json(result);
  object["enough"] = enough_json(result.enough);
  if (result.beyond_other) {
    object["beyond_other"] = estimate_json(*result.beyond_other);
    put(object["beyond_other"], "limit", result.other_limit);
  } else {
    put_null(object, "beyond_other", "the scenario has one limit");
  }
  object["met"] = result.met;
  put(object, "accepted_risk", scenario.limits.accepted_risk);
  object["notes"] = notes_of(scenario, result);
  return closed(std::move(object));
}

}  // namespace blendrisk::report
