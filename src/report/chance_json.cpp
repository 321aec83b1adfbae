#include "report/chance_json.hpp"

#include "report/json_parts.hpp"
#include "report/labels.hpp"

namespace blendrisk::report {
namespace {

void put_side(Json& object, const std::string& key,
              const std::optional<estimate::Estimate>& estimate, const std::optional<double>& limit,
              const std::string& limit_key) {
  if (!limit) return put_null(object, key, "the scenario has no " + limit_key);
  if (!estimate) return put_null(object, key, "was not estimated");
  object[key] = estimate_json(*estimate);
  put(object[key], "limit", *limit);
}

void put_chances(Json& object, const scenario::Scenario& scenario,
                 const estimate::ChanceResult& result) {
  const scenario::Limits& limits = scenario.limits;
  put_side(object, "below_minimum", result.below_minimum, limits.minimum, "limits.minimum");
  put_side(object, "above_maximum", result.above_maximum, limits.maximum, "limits.maximum");
  object["outside"] = estimate_json(result.outside);
  object["run_dry"] = estimate_json(result.run_dry);
  put(object["run_dry"], "floor", scenario.tank.pickup_floor_l);
  if (result.clicked_off_early) {
    object["clicked_off_early"] = estimate_json(*result.clicked_off_early);
  } else {
    put_null(object, "clicked_off_early", "the last fill is not metered");
  }
}

Json landed_json(const estimate::Landed& landed) {
  Json object = Json::object();
  put(object, "mean", landed.mean);
  put(object, "standard_deviation", landed.standard_deviation);
  Json quantiles = Json::object();
  put_quantiles(quantiles, landed.quantiles);
  object["quantiles"] = std::move(quantiles);
  return object;
}

Json notes_json(const estimate::ChanceResult& result) {
  Json notes = Json::array();
  for (const std::string& note : result.notes) notes.push_back(note);
  for (const estimate::Held& held : result.held) notes.push_back(held_note(held));
  const auto add_bound = [&](const char* key, const std::optional<estimate::Estimate>& estimate) {
    if (estimate && estimate->upper_bound_only) {
      notes.push_back(std::string(key) + ": read the upper end of interval_95 as a bound");
    }
  };
  add_bound("below_minimum", result.below_minimum);
  add_bound("above_maximum", result.above_maximum);
  add_bound("outside", result.outside);
  add_bound("run_dry", result.run_dry);
  add_bound("clicked_off_early", result.clicked_off_early);
  return notes;
}

}  // namespace

std::string chance_json(const scenario::Scenario& scenario, const estimate::ChanceResult& result,
                        const estimate::Options& options, double elapsed_s) {
  Json object = opening("chance", scenario, options, result.method);
  if (result.conditioned_on.empty()) {
    put_null(object, "conditioned_on", "the method conditions on no input");
  } else {
    object["conditioned_on"] = result.conditioned_on;
  }
  object["lean"] = result.leaned;
  object["stopped"] = stop_word(result.stop);
  object["evaluations"] = result.evaluations;
  put(object, "elapsed_s", elapsed_s);
  object["landed"] = landed_json(result.landed);
  put_chances(object, scenario, result);
  put(object, "accepted_risk", scenario.limits.accepted_risk);
  object["met"] = result.met;
  object["clearly"] = result.clearly;
  put(object, "dry_risk", scenario.limits.dry_risk);
  object["dry_met"] = result.dry_met;
  object["notes"] = notes_json(result);
  return closed(std::move(object));
}

}  // namespace blendrisk::report
