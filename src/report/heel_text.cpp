#include "report/heel_text.hpp"

#include <vector>

#include "report/advice.hpp"
#include "report/json_parts.hpp"
#include "report/methods_text.hpp"
#include "report/plain_text.hpp"
#include "report/sections.hpp"

namespace blendrisk::report {
namespace {

constexpr std::size_t k_name_columns = 34;

std::string percent(double fraction) {
  return short_text(100.0 * fraction) + " %";
}

bool several(const scenario::Scenario& scenario) {
  return scenario.fills.size() > 1;
}

/// Kilometres left at a reading, none where the scenario does not know the economy or less than the
/// reserve is left.
std::optional<double> distance_left(const scenario::Scenario& scenario,
                                    const std::optional<double>& indicated_l) {
  const auto& economy = scenario.heel.economy_l_per_km;
  if (!indicated_l || !economy || !(*economy > 0.0)) return {};
  if (*indicated_l < scenario.heel.reserve_l) return {};
  return (*indicated_l - scenario.heel.reserve_l) / *economy;
}

void put_distances(Json& object, const scenario::Scenario& scenario,
                   const decide::HeelResult& result) {
  const std::string none = "the scenario has no heel.economy, or less than the reserve is left";
  put(object, "highest_distance_left_km", distance_left(scenario, result.highest_indicated_l),
      none);
  put(object, "lowest_distance_left_km", distance_left(scenario, result.lowest_indicated_l), none);
}

/// "6.5 L indicated", with the distance left where the scenario knows the economy.
std::string reading(const scenario::Scenario& scenario, double indicated_l, UnitSystem units) {
  std::string text = gauge_text(indicated_l, units) + " indicated";
  if (const auto left = distance_left(scenario, indicated_l)) {
    constexpr double k_km_per_mile = 1.609344;  // exact, NIST Handbook 44 appendix C (from memory)
    const double km = *left;
    text += units == UnitSystem::us ? ", " + fixed_text(km / k_km_per_mile, 0) + " mi left"
                                    : ", " + fixed_text(km, 0) + " km left";
  }
  return text;
}

/// Where the gauge stands now, seen from the window.
std::string now_text(const scenario::Scenario& scenario, double low_l, UnitSystem units) {
  if (scenario.heel.indicated_l >= low_l) return {};
  return " It shows " + gauge_text(scenario.heel.indicated_l, units) +
         " now, which is less than that already.";
}

std::string window_text(const scenario::Scenario& scenario, const decide::HeelResult& result,
                        UnitSystem units) {
  const auto& [low, high] = *result.window;
  std::string text = "RUN DOWN TO " + reading(scenario, high, units);
  if (low == high) {
    text += ", neither more nor less. ";
  } else {
    text += low > 0.0 ? ", and not below " + reading(scenario, low, units) + ". " : ". ";
  }
  text += several(scenario) ? "Then fill as written." : "Then fill until the nozzle clicks off.";
  text += " The chance of landing outside the limits is " +
          estimate_text(result.at_highest->outside) + " from there, within " +
          accepted_risk_text(scenario) + "." + now_text(scenario, low, units);
  return wrapped(text);
}

/// Everything that was tried and would do.
std::vector<std::string> ways(const scenario::Scenario& scenario, const decide::HeelResult& result,
                              UnitSystem units) {
  const scenario::Limits& limits = scenario.limits;
  std::vector<std::string> found;
  if (result.second_highest_l) {
    found.push_back(two_fills_text(scenario, reading(scenario, *result.lowest_indicated_l, units),
                                   reading(scenario, *result.second_highest_l, units)));
  }
  if (result.risk_at_lowest && result.lowest_indicated_l &&
      *result.risk_at_lowest <= k_most_to_accept) {
    found.push_back("Accept a risk of " + percent(*result.risk_at_lowest) + " in place of " +
                    percent(limits.accepted_risk) + ": then " +
                    reading(scenario, *result.lowest_indicated_l, units) +
                    " does. Whether an engine bears that is not for a computation to say.");
  }
  if (result.dry_risk_at_highest && *result.dry_risk_at_highest <= k_most_to_accept) {
    found.push_back("Accept a chance of running dry of " + percent(*result.dry_risk_at_highest) +
                    " in place of " + percent(limits.dry_risk) + ": then " +
                    reading(scenario, *result.highest_indicated_l, units) + " does. " +
                    std::string(k_running_dry));
  }
  if (result.window_at_means) {
    found.emplace_back(
        "Know the inputs better: test the pump, measure the old fuel, learn what the gauge is off "
        "by. With every input at its mean there would be a window.");
  }
  return found;
}

std::string verdict(const scenario::Scenario& scenario, const decide::HeelResult& result,
                    UnitSystem units) {
  if (result.window) return window_text(scenario, result, units);
  std::string text = wrapped("NO READING WILL DO: " + result.reason + ".");
  text += heading("What would do");
  const std::vector<std::string> found = ways(scenario, result, units);
  for (const std::string& way : found) text += wrapped(way, "  - ");
  if (found.empty()) {
    text += wrapped("Another fuel, or other limits: with these it is far from enough.", "  - ");
  }
  return text;
}

std::string readings(const scenario::Scenario& scenario, const decide::HeelResult& result,
                     UnitSystem units) {
  std::string text =
      heading("Readings before the " + std::string(several(scenario) ? "first fill" : "fill"));
  const auto line = [&](std::string_view name, const std::optional<double>& value) {
    text +=
        row(name, k_name_columns, value ? reading(scenario, *value, units) : std::string("none"));
  };
  line("highest by arithmetic (all means)", result.nominal_highest_l);
  line("highest within the accepted risk", result.highest_indicated_l);
  if (result.lowest_for_limits_l) {
    line("lowest within the accepted risk", result.lowest_for_limits_l);
  }
  line("lowest within the dry risk", result.lowest_indicated_l);
  text += row("now", k_name_columns, reading(scenario, scenario.heel.indicated_l, units));
  if (!result.at_highest) return text;
  return text + chances_heading() +
         chance_row("outside, from the highest", result.at_highest->outside) +
         chance_row("running dry, there", result.at_highest->run_dry) +
         landed_section("Landed content from the highest", result.at_highest->landed);
}

}  // namespace

std::string heel_text(const scenario::Scenario& scenario, const decide::HeelResult& result,
                      const estimate::Options& options, UnitSystem units) {
  return title_lines(scenario) + verdict(scenario, result, units) +
         (several(scenario) ? "\n" + wrapped(k_between_fills) : "") +
         readings(scenario, result, units) + assumed_section(scenario, units) +
         heading("How it was computed") +
         row("evaluations", 16, std::to_string(result.evaluations)) +
         row("seed", 16, std::to_string(options.seed)) + cautions_section();
}

std::string heel_json(const scenario::Scenario& scenario, const decide::HeelResult& result,
                      const estimate::Options& options, double elapsed_s) {
  Json object =
      opening("heel", scenario, options,
              result.at_highest ? result.at_highest->method : methods_text(result.methods));
  object["evaluations"] = result.evaluations;
  put(object, "elapsed_s", elapsed_s);
  put(object, "highest_indicated", result.highest_indicated_l,
      "no reading meets the accepted risk");
  put(object, "lowest_indicated", result.lowest_indicated_l, "no reading meets the dry risk");
  if (result.window) {
    object["window"] = Json::array({number((*result.window)[0]), number((*result.window)[1])});
  } else {
    object["window"] = nullptr;
  }
  put(object, "nominal_highest", result.nominal_highest_l,
      "no reading reaches the limits with every input at its mean");
  object["reason"] = result.reason.empty() ? Json(nullptr) : Json(result.reason);
  put(object, "lowest_for_limits", result.lowest_for_limits_l,
      "no lower reading is outside the accepted risk");
  const bool window = result.window.has_value();
  const std::string has_window = "there is a window";
  put(object, "risk_at_lowest", result.risk_at_lowest,
      window ? has_window : "no reading meets the dry risk");
  put(object, "dry_risk_at_highest", result.dry_risk_at_highest,
      window ? has_window : "no reading meets the accepted risk");
  put(object, "second_indicated", result.second_highest_l,
      window ? has_window : "two fills to click-off would not do");
  if (result.at_highest) {
    object["outside_at_highest"] = estimate_json(result.at_highest->outside);
  } else {
    put_null(object, "outside_at_highest", "no reading meets the accepted risk");
  }
  put_distances(object, scenario, result);
  put(object, "accepted_risk", scenario.limits.accepted_risk);
  put(object, "dry_risk", scenario.limits.dry_risk);
  object["met"] = result.window.has_value();
  return closed(std::move(object));
}

}  // namespace blendrisk::report
