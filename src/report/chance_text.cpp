#include "report/chance_text.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include "report/labels.hpp"
#include "report/plain_text.hpp"
#include "report/sections.hpp"

namespace blendrisk::report {
namespace {

using estimate::Estimate;

std::string verdict(const scenario::Scenario& scenario, const estimate::ChanceResult& result,
                    const estimate::Options& options) {
  const std::string risk =
      "the accepted risk of " + short_text(100.0 * scenario.limits.accepted_risk) + " %";
  const bool exact = result.stop == estimate::Stop::exact;
  std::string text = (result.met ? "WITHIN " : "NOT WITHIN ") + risk;
  text += result.clearly || exact ? ": " : ", but not clearly: ";
  text += "the chance of landing outside the limits is " + estimate_text(result.outside);
  if (exact) return wrapped(text + ".");
  if (!result.outside.upper_bound_only) {
    text += ", 95 % interval " + interval_text(result.outside);
  }
  if (result.clearly) {
    return wrapped(text + ". The whole interval lies " + (result.met ? "within" : "above") +
                   " it.");
  }
  if (result.outside.few_values) {
    return wrapped(text + ". Measured values are too few to bear a smaller one, so they do not " +
                   "decide it (see below).");
  }
  text += ". The interval reaches across the accepted risk, so this run does not decide it; ";
  text += options.cases ? "more --cases" : "a smaller --precision, or more --cases,";
  return wrapped(text + " may.");
}

std::string chances(const scenario::Scenario& scenario, const estimate::ChanceResult& result,
                    UnitSystem units) {
  const scenario::Limits& limits = scenario.limits;
  std::string text = chances_heading();
  if (result.below_minimum && limits.minimum) {
    text += chance_row("landing below " + content_text(*limits.minimum), *result.below_minimum);
  }
  if (result.above_maximum && limits.maximum) {
    text += chance_row("landing above " + content_text(*limits.maximum), *result.above_maximum);
  }
  text += chance_row("landing outside the limits", result.outside);
  const double floor = scenario.tank.pickup_floor_l;
  const Estimate& dry = result.run_dry;
  if (floor > 0.0 || dry.chance > 0.0) {
    text += chance_row("running dry (below " + volume_text(floor, units) + ")", dry);
  }
  if (result.clicked_off_early) text += chance_row("clicking off early", *result.clicked_off_early);
  return text;
}

std::string stopped_because(const estimate::ChanceResult& result,
                            const estimate::Options& options) {
  if (result.outside.few_values) return "measured values bear no smaller chance";
  switch (result.stop) {
    case estimate::Stop::exact:
      return "the answer is exact";
    case estimate::Stop::precision_reached:
      return "the precision of " + short_text(100.0 * options.precision) + " % was reached";
    case estimate::Stop::budget_spent:
      break;
  }
  if (options.cases) return "the " + std::to_string(*options.cases) + " cases asked for were spent";
  return "the budget was spent before the precision of " + short_text(100.0 * options.precision) +
         " % was reached";
}

std::string error_text(const Estimate& outside) {
  std::string text = short_text(100.0 * outside.standard_error, 2) + " %";
  if (outside.chance > 0.0 && outside.standard_error > 0.0) {
    text += ", " + short_text(100.0 * (outside.standard_error / outside.chance), 2) +
            " % of the chance";
  }
  return text;
}

std::string computed(const estimate::ChanceResult& result, const estimate::Options& options) {
  constexpr std::size_t columns = 16;
  std::string text = heading("How it was computed");
  if (!result.method.empty()) text += row("method", columns, cleaned(result.method));
  if (!result.conditioned_on.empty()) {
    const std::string key = cleaned(result.conditioned_on);
    const std::string words = label(key);
    text += row("conditioned on", columns, words == key ? key : key + ", " + words);
  }
  if (result.leaned) text += row("points", columns, "leaned toward the miss");
  text += row("evaluations", columns, std::to_string(result.evaluations));
  if (result.stop != estimate::Stop::exact) {
    text += row("standard error", columns, error_text(result.outside) + " (outside the limits)");
  }
  return text + row("stopped because", columns, stopped_because(result, options)) +
         row("seed", columns, std::to_string(options.seed));
}

std::string notes(const estimate::ChanceResult& result) {
  std::string lines;
  for (const std::string& note : result.notes) lines += wrapped(note, "  - ");
  for (const estimate::Held& held : result.held) lines += wrapped(held_note(held), "  - ");
  return lines.empty() ? lines : heading("Notes") + lines;
}

}  // namespace

std::string chance_text(const scenario::Scenario& scenario, const estimate::ChanceResult& result,
                        const estimate::Options& options, UnitSystem units) {
  return title_lines(scenario) + verdict(scenario, result, options) +
         dry_warning(scenario, result) + chances(scenario, result, units) +
         landed_section("Landed content", result.landed) + assumed_section(scenario, units) +
         computed(result, options) + notes(result) + cautions_section();
}

}  // namespace blendrisk::report
