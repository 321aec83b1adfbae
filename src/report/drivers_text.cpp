#include "report/drivers_text.hpp"

#include <algorithm>
#include <cmath>

#include "report/curve_parts.hpp"
#include "report/json_parts.hpp"
#include "report/labels.hpp"
#include "report/methods_text.hpp"
#include "report/plain_text.hpp"
#include "report/sections.hpp"

namespace blendrisk::report {
namespace {

using decide::Driver;
using decide::Drivers;
using estimate::Index;

constexpr const char* k_no_heel = "no reading meets the accepted risk";
/// A saving below this is none to speak of, in steps of the display.
constexpr double k_worth_saying = 3.0;

/// What one would do to know it.
std::string deed(const std::string& key) {
  if (key.ends_with(".content") && key != "heel.content") return "Testing the pump";
  if (key == "heel.content") return "Measuring the old fuel";
  if (key == "heel.gauge-error") return "Knowing what the gauge is off by";
  if (key == "sensor.bias") return "Knowing what the sensor is off by";
  if (key == "tank.click-off") return "Knowing where the nozzle clicks off";
  return "Knowing \"" + label(key) + "\"";
}

std::string which(const std::string& key) {
  if (!key.starts_with("fill-") || !key.ends_with(".content")) return {};
  return " of fill " + key.substr(5, key.find('.') - 5);
}

std::string worth(const Drivers& result, const Driver& driver, UnitSystem units) {
  if (driver.margin_saved_l && *driver.margin_saved_l > k_worth_saying * dispenser_step(units)) {
    return "saves " + dispenser_text(*driver.margin_saved_l, units) + " of margin";
  }
  if (!result.safe_amount_l && driver.safe_amount_l) {
    return "makes " + dispenser_text(*driver.safe_amount_l, units) +
           " enough, where now no amount is";
  }
  if (driver.heel_gained_l && *driver.heel_gained_l >= gauge_step(units)) {
    return "allows " + gauge_text(*driver.heel_gained_l, units) + " more of old fuel";
  }
  return {};
}

std::string verdict(const Drivers& result, UnitSystem units) {
  std::string text;
  int said = 0;
  for (const Driver& driver : result.inputs) {
    const std::string what = worth(result, driver, units);
    if (what.empty() || said == 3) continue;
    text += wrapped(deed(driver.key) + which(driver.key) + " " + what +
                        (said == 0 ? ", if it turns out as its mean." : "."),
                    said == 0 ? "" : "  - ");
    ++said;
  }
  if (said == 0) {
    return wrapped(
        result.inputs.empty()
            ? "NOTHING IS UNCERTAIN: there is nothing to know better."
            : "No single input, known exactly, changes the amount or the reading by more "
              "than its display shows.");
  }
  return text;
}

std::string share(const Index& index) {
  return std::isfinite(index.value) ? content_text(std::max(0.0, index.value), 1) : "unknown";
}

std::string share_text(const Index& index) {
  return padded(share(index), 10);
}

FigureBar bar_of(const Index& index) {
  const auto percent = [](double value) { return 100.0 * std::max(0.0, value); };
  if (!std::isfinite(index.value)) return {index.value, 0.0, 0.0, "the share cannot be told"};
  return {percent(index.value), percent(index.interval[0]), percent(index.interval[1]),
          share(index)};
}

std::string amount_cell(const std::optional<double>& litres, UnitSystem units, bool dispenser) {
  if (!litres) return padded("none", 12);
  return padded(dispenser ? dispenser_text(*litres, units) : gauge_text(*litres, units), 12);
}

std::string table(const Drivers& result, UnitSystem units, bool correlated) {
  std::string text = heading(padded("Known exactly", 37) + padded("safe", 12) + padded("heel", 12) +
                             padded("alone", 10) + "in all");
  const auto line = [&](const std::string& name, const std::optional<double>& amount,
                        const std::optional<double>& heel, const std::string& shares) {
    std::string row_text = "  " + padded(shortened(name, 34), 35) +
                           amount_cell(amount, units, true) + amount_cell(heel, units, false) +
                           shares;
    row_text.erase(row_text.find_last_not_of(' ') + 1);
    text += row_text + "\n";
  };
  line("nothing (as things are)", result.safe_amount_l, result.highest_heel_l, "");
  for (const Driver& driver : result.inputs) {
    line(label(driver.key), driver.safe_amount_l, driver.highest_heel_l,
         share_text(driver.indices.first_order) + share_text(driver.indices.total));
  }
  const std::string shares =
      correlated ? "alone: the share of the landed content's variance that goes when this input is "
                   "known, with what it tells of those it is correlated with; in all: the share "
                   "that is left when all others are known."
                 : "alone and in all: the share of the landed content's variance that comes from "
                   "this input alone, and with all it does together with others.";
  return text + wrapped(
                    "safe: the least amount on the dispenser; heel: the highest reading before "
                    "the fill; " +
                        shares,
                    "  ");
}

Json index_json(const Index& index) {
  Json object = Json::object();
  put(object, "value", index.value);
  put(object, "standard_error", index.standard_error);
  object["interval_95"] = Json::array({number(index.interval[0]), number(index.interval[1])});
  return object;
}

}  // namespace

std::string drivers_text(const scenario::Scenario& scenario, const Drivers& result,
                         const estimate::Options& options, UnitSystem units) {
  return title_lines(scenario) + verdict(result, units) +
         table(result, units, !scenario.correlations.empty()) + chances_heading() +
         chance_row("landing outside the limits", result.outside) +
         assumed_section(scenario, units) + heading("How it was computed") +
         row("method", 16,
             "Sobol' indices of the landed content; safe amounts with one input at its "
             "mean") +
         row("chances", 16, methods_text(result.methods)) +
         row("evaluations", 16, std::to_string(result.evaluations)) +
         row("seed", 16, std::to_string(options.seed)) + cautions_section();
}

std::string drivers_json(const scenario::Scenario& scenario, const Drivers& result,
                         const estimate::Options& options, double elapsed_s) {
  Json object = opening("drivers", scenario, options, methods_text(result.methods));
  object["evaluations"] = result.evaluations;
  put(object, "elapsed_s", elapsed_s);
  put(object, "safe_amount", result.safe_amount_l, k_no_amount);
  put(object, "highest_indicated", result.highest_heel_l, k_no_heel);
  object["outside"] = estimate_json(result.outside);
  Json inputs = Json::array();
  for (const Driver& driver : result.inputs) {
    Json one = Json::object();
    one["key"] = driver.key;
    one["first_order"] = index_json(driver.indices.first_order);
    one["total"] = index_json(driver.indices.total);
    put(one, "safe_amount_if_known", driver.safe_amount_l, k_no_amount);
    put(one, "highest_indicated_if_known", driver.highest_heel_l, k_no_heel);
    put(one, "margin_saved", driver.margin_saved_l, "there is no amount to compare");
    put(one, "heel_gained", driver.heel_gained_l, "there is no reading to compare");
    put(one, "outside_if_known", driver.chance);
    inputs.push_back(std::move(one));
  }
  object["inputs"] = std::move(inputs);
  put(object, "accepted_risk", scenario.limits.accepted_risk);
  return closed(std::move(object));
}

Figure drivers_figure(const scenario::Scenario& scenario, const Drivers& result) {
  Figure figure;
  figure.title = scenario.title;
  figure.y.title = "What the spread of the landed content comes from";
  std::vector<const Driver*> order;
  for (const Driver& driver : result.inputs) order.push_back(&driver);
  const auto larger = [](const Driver* driver) {
    const auto& [alone, in_all] = driver->indices;
    return std::max(alone.value, in_all.value);
  };
  std::stable_sort(order.begin(), order.end(),
                   [&](const Driver* a, const Driver* b) { return larger(a) > larger(b); });
  double high = 10.0;
  for (const Driver* driver : order) {
    FigureRow row{label(driver->key), {}};
    for (const Index* index : {&driver->indices.first_order, &driver->indices.total}) {
      row.bars.push_back(bar_of(*index));
      if (std::isfinite(row.bars.back().value)) high = std::max(high, row.bars.back().high);
    }
    figure.rows.push_back(std::move(row));
  }
  if (scenario.correlations.empty()) {
    figure.bar_names = {"alone: what comes from this input by itself",
                        "in all: with all it does together with others"};
  } else {
    figure.bar_names = {
        "alone: what goes when this input is known, with what it tells of those "
        "it moves with",
        "in all: what is left when all others are known"};
    figure.notes.emplace_back(
        "Some inputs move together: what they have in common counts in the share alone of each, "
        "and in no share in all, so that neither kind adds up to 100 %.");
  }
  if (order.empty()) {
    figure.bar_names.clear();
    figure.notes.emplace_back("No input is uncertain: there is no share to show.");
  }
  figure.x = {"Share of the variance (%); thin lines: 95 % interval", 0.0, 1.02 * high, false, {}};
  figure.x.ticks = linear_ticks(0.0, figure.x.high);
  figure.alt = "Bars of each input's share of the variance of the landed content, alone and in all";
  for (std::size_t i = 0; i < order.size(); ++i) {
    figure.alt += (i == 0 ? ": " : "; ") + figure.rows[i].label + " " +
                  figure.rows[i].bars[0].text + " and " + figure.rows[i].bars[1].text;
  }
  figure.alt += ".";
  return figure;
}

}  // namespace blendrisk::report
