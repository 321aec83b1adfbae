#include "report/fill_text.hpp"

#include <cmath>
#include <optional>
#include <vector>

#include "report/advice.hpp"
#include "report/json_parts.hpp"
#include "report/methods_text.hpp"
#include "report/plain_text.hpp"
#include "report/sections.hpp"

namespace blendrisk::report {
namespace {

constexpr std::size_t k_name_columns = 36;

/// "Put in", or at which fill it is where there are several.
std::string instruction(const scenario::Scenario& scenario) {
  const std::size_t fills = scenario.fills.size();
  if (fills == 1) return "PUT IN ";
  return "PUT IN, AT FILL " + std::to_string(fills) + ", ";
}

/// What is said of amounts beyond the largest.
std::string beyond(const decide::FillResult& result, UnitSystem units) {
  if (!result.largest_amount_l) return {};
  if (!result.again_from_l) return " More than that is not.";
  return " More than that is not, until from " + dispenser_text(*result.again_from_l, units) +
         " on the risk is met again: of these separate ranges, the one with the least fuel is "
         "advised.";
}

std::string nothing_needed(const scenario::Scenario& scenario, const decide::FillResult& result,
                           UnitSystem units) {
  std::string text =
      "NOTHING NEEDS TO BE PUT IN: as it is, the chance of being outside the limits is " +
      estimate_text(result.at_safe->outside) + ", within " + accepted_risk_text(scenario) + ".";
  if (result.largest_amount_l) {
    text += " Up to " + dispenser_text(*result.largest_amount_l, units) + " is within it, too." +
            beyond(result, units);
  }
  return wrapped(text);
}

std::string verdict(const scenario::Scenario& scenario, const decide::FillResult& result,
                    UnitSystem units) {
  if (*result.safe_amount_l == 0.0) return nothing_needed(scenario, result, units);
  std::string text = instruction(scenario) +
                     amounts_text(*result.safe_amount_l, result.largest_amount_l, units) +
                     " as the dispenser shows it: ";
  if (result.margin_l) {
    if (result.largest_amount_l) text += "the least is ";
    text += margin_text(*result.margin_l, units) + " the arithmetic says. ";
  }
  text += "The chance of landing outside the limits is ";
  text += result.largest_amount_l ? "at the least amount " : "then ";
  text += estimate_text(result.at_safe->outside) + ", within " + accepted_risk_text(scenario) + ".";
  if (result.largest_amount_l) {
    text += " Up to the largest amount it stays within it." + beyond(result, units);
  }
  if (result.outside_at_nominal && result.margin_l && *result.margin_l > 0.0) {
    text += " At the amount that the arithmetic says it would be " +
            estimate_text(*result.outside_at_nominal) +
            ": the margin is there for what is not known exactly.";
  }
  return wrapped(text);
}

std::string amounts(const decide::FillResult& result, UnitSystem units) {
  std::string text = heading("Amounts on the dispenser");
  const auto line = [&](std::string_view name, const std::string& value) {
    text += row(name, k_name_columns, value);
  };
  line("by arithmetic (all at their means)", result.nominal_amount_l
                                                 ? dispenser_text(*result.nominal_amount_l, units)
                                                 : "no amount does");
  if (result.safe_amount_l) line("safe", dispenser_text(*result.safe_amount_l, units));
  if (result.margin_l) {
    std::string margin = dispenser_text(*result.margin_l, units);
    if (result.margin_cost) {
      margin += (*result.margin_cost < 0.0 ? ", saves " : ", costs ") +
                fixed_text(std::abs(*result.margin_cost), 2) + " at the price given";
    }
    line("margin", margin);
  }
  if (result.largest_amount_l) {
    line("largest, before a limit binds", dispenser_text(*result.largest_amount_l, units));
  }
  if (result.again_from_l) {
    line("within the risk again from", dispenser_text(*result.again_from_l, units));
  }
  line("room in the tank, all at their means", dispenser_text(result.room_l, units));
  return text;
}

std::string why(const scenario::Scenario& scenario, const decide::FillResult& result,
                UnitSystem units) {
  if (!result.outside_at_nominal && !result.at_safe) return {};
  std::string text = chances_heading();
  if (result.outside_at_nominal) {
    text += chance_row("outside, by arithmetic", *result.outside_at_nominal);
  }
  if (result.at_safe) {
    text += chance_row("outside, at the safe amount", result.at_safe->outside);
    if (result.at_safe->clicked_off_early) {
      text += chance_row("nozzle clicks off first", *result.at_safe->clicked_off_early);
    }
    const double floor = scenario.tank.pickup_floor_l;
    if (floor > 0.0) {
      text += chance_row("running dry (below " + volume_text(floor, units) + ")",
                         result.at_safe->run_dry);
    }
  }
  return text;
}

/// Running the tank down, as far as that is told to be worth its chance of running dry.
std::optional<std::string> run_down(const scenario::Scenario& scenario,
                                    const decide::Instead& other, UnitSystem units) {
  const double dry = other.dry_risk_at_highest.value_or(0.0);
  if (!other.highest_heel_l || dry > k_most_to_accept) return {};
  std::string text = "Run the tank down to " + gauge_text(*other.highest_heel_l, units) +
                     " indicated (now " + gauge_text(scenario.heel.indicated_l, units) + ")";
  text += scenario.fills.size() > 1 ? " before the first fill, then fill as written, the last time "
                                      "until the nozzle clicks off. "
                                    : ", then fill until the nozzle clicks off. ";
  if (scenario.tank.pickup_floor_l == 0.0) {
    return text + "Whether that runs it dry is not told: the scenario gives no pickup floor.";
  }
  text += "The chance of running it dry is then " + chance_percent(dry, 1e-3 * dry);
  if (dry <= scenario.limits.dry_risk) return text + ", within " + dry_risk_text(scenario) + ".";
  return text + ", more than " + dry_risk_text(scenario) + ". " + std::string(k_running_dry);
}

/// Everything that was tried and would do.
std::vector<std::string> ways(const scenario::Scenario& scenario, const decide::Instead& other,
                              UnitSystem units) {
  std::vector<std::string> found;
  if (const auto down = run_down(scenario, other, units)) found.push_back(*down);
  if (other.second_heel_l) {
    found.push_back(
        two_fills_text(scenario, {}, gauge_text(*other.second_heel_l, units) + " indicated"));
  }
  if (other.tested_content) {
    found.push_back("Test the pump first: a tested content of " +
                    content_text(*other.tested_content, 2) +
                    (other.tested_at_least ? " or more" : " or less") +
                    " would do, filling until the nozzle clicks off.");
  }
  if (other.least_chance <= k_most_to_accept) {
    found.push_back("Accept a risk of " +
                    chance_percent(other.least_chance, 1e-3 * other.least_chance) +
                    ": whether an engine bears that is not for a computation to say.");
  }
  return found;
}

std::string instead(const scenario::Scenario& scenario, const decide::FillResult& result,
                    UnitSystem units) {
  const decide::Instead& other = *result.instead;
  const std::string least_at = other.least_at_l > result.room_l
                                   ? "filling until the nozzle clicks off"
                                   : dispenser_text(other.least_at_l, units);
  std::string text =
      wrapped("NO AMOUNT WILL DO: " + result.reason + ". The lowest chance, " +
              chance_percent(other.least_chance, 1e-3 * other.least_chance) + ", comes with " +
              least_at + "; " + accepted_risk_text(scenario) + " is asked for.");
  text += heading("What would do");
  const std::vector<std::string> found = ways(scenario, other, units);
  for (const std::string& way : found) text += wrapped(way, "  - ");
  if (found.empty()) {
    text += wrapped("Another fuel, or other limits: with these it is far from enough.", "  - ");
  }
  return text;
}

}  // namespace

std::string fill_text(const scenario::Scenario& scenario, const decide::FillResult& result,
                      const estimate::Options& options, UnitSystem units) {
  std::string text = title_lines(scenario);
  text +=
      result.safe_amount_l ? verdict(scenario, result, units) : instead(scenario, result, units);
  if (result.at_safe) text += dry_warning(scenario, *result.at_safe);
  if (scenario.fills.size() > 1) text += "\n" + wrapped(k_between_fills);
  text += amounts(result, units) + why(scenario, result, units);
  if (result.at_safe)
    text += landed_section("Landed content at the safe amount", result.at_safe->landed);
  text += assumed_section(scenario, units);
  text += heading("How it was computed") +
          row("evaluations", 16, std::to_string(result.evaluations)) +
          row("seed", 16, std::to_string(options.seed));
  return text + cautions_section();
}

std::string fill_json(const scenario::Scenario& scenario, const decide::FillResult& result,
                      const estimate::Options& options, double elapsed_s) {
  const std::string method = result.at_safe ? result.at_safe->method : methods_text(result.methods);
  Json object = opening("fill", scenario, options, method);
  object["evaluations"] = result.evaluations;
  put(object, "elapsed_s", elapsed_s);
  const std::string no_nominal = "no amount reaches the limits with every input at its mean";
  put(object, "nominal_amount", result.nominal_amount_l, no_nominal);
  put(object, "safe_amount", result.safe_amount_l, result.reason);
  put(object, "margin", result.margin_l, result.safe_amount_l ? no_nominal : result.reason);
  put(object, "margin_cost", result.margin_cost,
      scenario.fills.back().price_per_l ? "there is no margin" : "the scenario has no price");
  put(object, "largest_amount", result.largest_amount_l,
      result.safe_amount_l ? "no limit binds before the tank is full" : result.reason);
  put(object, "again_from", result.again_from_l, "no larger amount is outside the risk first");
  put(object, "room", result.room_l);
  const auto put_estimate = [&](const char* key, const std::optional<estimate::Estimate>& value,
                                const std::string& reason) {
    if (value) {
      object[key] = estimate_json(*value);
    } else {
      put_null(object, key, reason);
    }
  };
  using Optional = std::optional<estimate::Estimate>;
  put_estimate("outside_at_safe", result.at_safe ? Optional(result.at_safe->outside) : Optional(),
               result.reason);
  put_estimate("outside_at_nominal", result.outside_at_nominal, no_nominal);
  put_estimate("clicked_off_early_at_safe",
               result.at_safe ? result.at_safe->clicked_off_early : Optional(), result.reason);
  put(object, "accepted_risk", scenario.limits.accepted_risk);
  object["met"] = result.safe_amount_l.has_value();
  if (result.instead) {
    const decide::Instead& other = *result.instead;
    const std::string none = "would not do, or is no change";
    Json& with = object["instead"] = Json::object();
    put(with, "least_chance", other.least_chance);
    put(with, "least_at", other.least_at_l);
    put(with, "highest_indicated", other.highest_heel_l, none);
    put(with, "dry_risk_at_highest", other.dry_risk_at_highest, none);
    put(with, "second_indicated", other.second_heel_l, none);
    put(with, "tested_content", other.tested_content, none);
  }
  return closed(std::move(object));
}

}  // namespace blendrisk::report
