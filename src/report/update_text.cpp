#include "report/update_text.hpp"

#include <cmath>

#include "report/cautions.hpp"
#include "report/json_parts.hpp"
#include "report/plain_text.hpp"
#include "report/sections.hpp"
#include "scenario/quoting.hpp"

namespace blendrisk::report {
namespace {

using estimate::Posterior;
using estimate::Side;

constexpr std::size_t k_columns_left = 31;
/// Readings that fit worse than this are told of.
constexpr double k_poor_fit = 1e-3;

std::string outside_words(const Posterior& result) {
  return std::string(result.target.side == Side::below ? "less than " : "more than ") +
         content_text(result.target.limit);
}

std::string risk_words(const scenario::Scenario& scenario) {
  return "accepted risk of " + short_text(100.0 * scenario.limits.accepted_risk) + " %";
}

std::string left_words(const Posterior& result, UnitSystem units) {
  std::string text = volume_text(*result.enough_left_l, units);
  if (result.enough_left_s) text += " (" + time_text(*result.enough_left_s) + ")";
  return text;
}

/// Upward, as the end of an interval is.
std::string least_text(double chance) {
  const double step = std::pow(10.0, std::floor(std::log10(100.0 * chance)) - 1.0);
  return short_text(step * std::ceil(100.0 * chance / step - 1e-9), 2) + " %";
}

/// Whether the cases are too few to show that the accepted risk is met, whatever is read.
bool never_shown(const scenario::Scenario& scenario, const Posterior& result) {
  return scenario.limits.accepted_risk < result.least_ever_shown;
}

/// "4096 cases, worth 1200 independent ones, show no chance below 0.3 %": why a chance that none
/// of them has cannot be told to be within the risk.
std::string too_few(const Posterior& result) {
  return std::to_string(result.cases) + " cases, worth " + short_text(result.effective_cases, 2) +
         " independent ones, show no chance below " + least_text(result.least_shown);
}

/// Empty where the cases are enough for the accepted risk.
std::string never_shown_note(const scenario::Scenario& scenario, const Posterior& result) {
  if (!never_shown(scenario, result)) return {};
  return "This answer counts " + std::to_string(result.cases) +
         " cases, which show no chance below " + least_text(result.least_ever_shown) +
         ": no reading can confirm the " + risk_words(scenario) + " by them.";
}

/// The chance that decides: that of the tank ending outside where no waiting helps.
std::string verdict(const scenario::Scenario& scenario, const Posterior& result, UnitSystem units) {
  const std::string now = "the chance that the injectors now get " + outside_words(result) +
                          " is " + estimate_text(result.rail_outside);
  const std::string accepted =
      " (accepted: " + short_text(100.0 * scenario.limits.accepted_risk) + " %)";
  if (result.other_too_often) {
    const bool above = result.target.side == Side::below;
    return wrapped(std::string("DO NOT SWITCH: the tank is ") +
                   (above ? "above the maximum in " : "below the minimum in ") +
                   estimate_text(above ? *result.above_maximum : *result.below_minimum) +
                   " of cases, more than the " + risk_words(scenario) +
                   " allows, and no waiting mends that.");
  }
  if (result.met) return wrapped("WITHIN THE ACCEPTED RISK: " + now + accepted + ".");
  if (result.enough_left_l && *result.enough_left_l > 0.0) {
    return wrapped("NOT YET: " + now + accepted + ". Burn " + left_words(result, units) +
                   " more to bring it " +
                   (never_shown(scenario, result)
                        ? "as low as these cases show. " + never_shown_note(scenario, result)
                        : "well within the " + risk_words(scenario) + "."));
  }
  if (result.enough_left_l) {
    if (never_shown(scenario, result)) {
      return wrapped("NOT SHOWN TO BE WITHIN: " + now + accepted + ". " +
                     never_shown_note(scenario, result));
    }
    const bool none = scenario.limits.accepted_risk < result.least_shown;
    return wrapped("NOT CLEARLY YET: " + now + accepted + ", and " +
                   (none ? too_few(result) : "so few cases do not tell it well enough") +
                   ". Another reading may tell more.");
  }
  return wrapped(
      "NOT WITHIN THE ACCEPTED RISK, and waiting will not bring it there: the tank "
      "itself holds " +
      outside_words(result) + " in more cases than the " + risk_words(scenario) + " allows. T" +
      now.substr(1) + ".");
}

std::string moment_text(const estimate::Moment& moment, UnitSystem units) {
  return moment.by == estimate::Moment::By::time ? time_text(moment.value)
                                                 : volume_text(moment.value, units) + " burned";
}

std::string range_text(const std::array<double, 5>& quantiles) {
  return content_text(quantiles[2], 1) + " (95 %: " + content_text(quantiles[0], 1) + " to " +
         content_text(quantiles[4], 1) + ")";
}

std::string contents_section(const Posterior& result, UnitSystem units) {
  std::string text =
      heading("After " + std::to_string(result.readings) +
              (result.readings == 1 ? " reading, " : " readings, ") +
              moment_text(result.now, units)) +
      row("content at the injectors now", k_columns_left, range_text(result.rail_now)) +
      row("content that the tank landed at", k_columns_left, range_text(result.landed)) +
      row("sensor's bias", k_columns_left,
          content_text(result.bias_mean, 1) + " +- " + content_text(result.bias_sd, 1) +
              " (one standard deviation)");
  if (!result.burn_left_l) {
    return text + row("left to burn", k_columns_left, "hardly any case gets within the limit");
  }
  const auto& left = *result.burn_left_l;
  std::string burn = volume_text(left[2], units) + " (95 %: " + volume_text(left[0], units) +
                     " to " + volume_text(left[4], units) + ")";
  if (result.time_left_s) {
    const auto& time = *result.time_left_s;
    burn +=
        ", " + time_text(time[2]) + " (" + time_text(time[0]) + " to " + time_text(time[4]) + ")";
  }
  return text + row("left to burn", k_columns_left, burn);
}

std::string chances_section(const scenario::Scenario& scenario, const Posterior& result) {
  std::string text =
      chances_heading() + chance_row("injectors " + outside_words(result), result.rail_outside);
  if (result.below_minimum && scenario.limits.minimum) {
    text +=
        chance_row("tank below " + content_text(*scenario.limits.minimum), *result.below_minimum);
  }
  if (result.above_maximum && scenario.limits.maximum) {
    text +=
        chance_row("tank above " + content_text(*scenario.limits.maximum), *result.above_maximum);
  }
  return text;
}

std::string computed(const Posterior& result, const estimate::Options& options) {
  constexpr std::size_t columns = 16;
  return heading("How it was computed") +
         row("method", columns, "cases of the scenario weighed by the readings (tempered)") +
         row("cases", columns,
             std::to_string(result.cases) + ", worth " + short_text(result.effective_cases, 2) +
                 " independent ones") +
         row("evaluations", columns, std::to_string(result.evaluations)) +
         row("seed", columns, std::to_string(options.seed));
}

std::vector<std::string> notes_of(const scenario::Scenario& scenario, const Posterior& result) {
  std::vector<std::string> notes;
  if (!estimate::has_volume(scenario.line)) {
    notes.emplace_back(
        "The scenario gives the line no volume (line.reservoir, filter, pipe, beyond-sensor): what "
        "the sensor shows is taken to be in the tank and at the injectors at once.");
  }
  const distributions::Distribution& bias = scenario.sensor.bias;
  if (distributions::is_exact(bias) && distributions::mean(bias) == 0.0) {
    notes.emplace_back(
        "The scenario gives the sensor no bias (sensor.bias): the chances leave no room for one.");
  }
  if (result.fit < k_poor_fit) {
    notes.push_back("The readings fit the scenario badly: so far off come fewer than 1 in " +
                    short_text(std::floor(1.0 / result.fit), 2) +
                    ". Check the sensor, the units and the volumes of the line.");
  }
  if (result.display_assumed) {
    notes.emplace_back(
        "The scenario gives neither sensor.noise nor sensor.step: readings are taken as rounded to "
        "1 %.");
  }
  if (result.readings > estimate::k_most_readings) {
    notes.push_back("Readings are averaged in " + std::to_string(estimate::k_most_readings) +
                    " groups of neighbours.");
  }
  return notes;
}

Json opening_of(const scenario::Scenario& scenario, const estimate::Options& options) {
  return opening("update", scenario, options, "tempered");
}

void put_quantiles_of(Json& object, const std::string& key,
                      const std::optional<std::array<double, 5>>& values,
                      const std::string& reason) {
  if (!values) return put_null(object, key, reason);
  object[key] = Json::object();
  object[key]["quantiles"] = Json::object();
  put_quantiles(object[key]["quantiles"], *values);
}

void put_side(Json& object, const std::string& key,
              const std::optional<estimate::Estimate>& estimate, const std::optional<double>& limit,
              const std::string& limit_key) {
  if (!estimate || !limit) return put_null(object, key, "the scenario has no " + limit_key);
  object[key] = estimate_json(*estimate);
  put(object[key], "limit", *limit);
}

}  // namespace

std::string update_text(const scenario::Scenario& scenario, const Posterior& result,
                        const estimate::Options& options, UnitSystem units,
                        const std::string& more_note) {
  std::string notes = more_note.empty() ? "" : wrapped(more_note, "  - ");
  for (const std::string& note : notes_of(scenario, result)) notes += wrapped(note, "  - ");
  if (!notes.empty()) notes = heading("Notes") + notes;
  return title_lines(scenario) + verdict(scenario, result, units) +
         contents_section(result, units) + chances_section(scenario, result) +
         assumed_section(scenario, units, About::line) + computed(result, options) + notes +
         cautions_section();
}

std::string unread_note(const std::vector<std::string>& columns, bool by_time) {
  if (columns.empty()) return {};
  constexpr std::size_t k_most = 5;
  std::string names;
  bool rates = false;
  for (std::size_t i = 0; i < columns.size(); ++i) {
    rates |= columns[i].find("rate") != std::string::npos || columns[i].ends_with("_per_h");
    if (i < k_most) names += (i == 0 ? "" : ", ") + scenario::in_quotes(columns[i]);
  }
  if (columns.size() > k_most) names += " and more";
  const std::string note = (columns.size() == 1 ? "The log's column " : "The log's columns ") +
                           names + (columns.size() == 1 ? " is" : " are") + " not read";
  if (!by_time) return note + ".";
  return note + ": times become burned fuel by engine.schedule and its rates alone" +
         (rates ? ", whatever rate was logged; burned_l in place of time_s is taken as it is."
                : ".");
}

std::string update_line(const scenario::Scenario& scenario, const Posterior& result,
                        const estimate::Reading& shown, UnitSystem units) {
  std::string text = moment_text(result.now, units) + ": " + content_text(shown.value) + " shown. ";
  if (result.met) {
    text += "WITHIN. " + std::string(k_short_caution) + " Now";
  } else if (result.other_too_often) {
    text += "DO NOT SWITCH, THE OTHER LIMIT IS MISSED";
  } else if (result.enough_left_l && !(*result.enough_left_l > 0.0) &&
             scenario.limits.accepted_risk < result.least_shown) {
    text += "NOT SHOWN TO BE WITHIN (" + too_few(result) + ")";
  } else if (result.enough_left_l) {
    text += "NOT YET";
  } else {
    text += "NOT WITHIN, AND WAITING WILL NOT DO";
  }
  text += ": injectors " + range_text(result.rail_now) + ", " + outside_words(result) + " in " +
          estimate_text(result.rail_outside);
  if (!result.met && result.enough_left_l && *result.enough_left_l > 0.0)
    text += "; burn " + left_words(result, units) + " more";
  const auto& tank =
      result.target.side == Side::below ? result.below_minimum : result.above_maximum;
  if (tank) text += "; tank " + outside_words(result) + " in " + estimate_text(*tank);
  if (result.fit < k_poor_fit) text += "; the readings fit the scenario badly";
  return text + "\n";
}

std::string update_json(const scenario::Scenario& scenario, const Posterior& result,
                        const estimate::Options& options, double elapsed_s, std::size_t skipped,
                        const std::string& more_note) {
  Json object = opening_of(scenario, options);
  const bool rates = result.time_left_s.has_value() || result.enough_left_s.has_value();
  object["evaluations"] = result.evaluations;
  put(object, "elapsed_s", elapsed_s);
  object["readings"] = result.readings;
  object["skipped"] = skipped;
  put(object["now"], result.now.by == estimate::Moment::By::time ? "time" : "burn",
      result.now.value);
  put_quantiles_of(object, "landed", result.landed, "");
  put_side(object, "below_minimum", result.below_minimum, scenario.limits.minimum,
           "limits.minimum");
  put_side(object, "above_maximum", result.above_maximum, scenario.limits.maximum,
           "limits.maximum");
  put_quantiles_of(object, "rail_now", result.rail_now, "");
  object["rail_outside"] = estimate_json(result.rail_outside);
  object["rail_outside"]["side"] = result.target.side == Side::below ? "below" : "above";
  put(object["rail_outside"], "limit", result.target.limit);
  put_quantiles_of(object, "burn_left", result.burn_left_l, "hardly any case arrives");
  put_quantiles_of(object, "time_left", result.time_left_s,
                   rates ? "hardly any case arrives"
                         : "the scenario has no rate for engine.schedule, or none arrives");
  Json enough = Json::object();
  const char* outside = "the tank itself is outside the limit too often";
  put(enough, "burn", result.enough_left_l, outside);
  put(enough, "time", result.enough_left_s,
      result.enough_left_l ? "the scenario has no rate for engine.schedule" : outside);
  object["enough_left"] = std::move(enough);
  put(object["bias"], "mean", result.bias_mean);
  put(object["bias"], "standard_deviation", result.bias_sd);
  put(object, "effective_cases", result.effective_cases);
  put(object, "fit", result.fit);
  put(object, "accepted_risk", scenario.limits.accepted_risk);
  object["met"] = result.met;
  std::vector<std::string> notes = notes_of(scenario, result);
  for (const std::string& note : {never_shown_note(scenario, result), more_note}) {
    if (!note.empty()) notes.push_back(note);
  }
  object["notes"] = notes;
  return closed(std::move(object));
}

std::string no_update_json(const scenario::Scenario& scenario, const std::string& reason,
                           const estimate::Options& options, std::size_t skipped) {
  Json object = opening_of(scenario, options);
  object["skipped"] = skipped;
  for (const char* key : {"landed", "below_minimum", "above_maximum", "rail_now", "rail_outside",
                          "burn_left", "effective_cases", "bias", "met"}) {
    object[key] = nullptr;
  }
  object["reason"] = reason;
  return closed(std::move(object));
}

}  // namespace blendrisk::report
