#include "report/json_parts.hpp"

#include <cmath>

#include "report/cautions.hpp"
#include "report/labels.hpp"
#include "version.hpp"

namespace blendrisk::report {
namespace {

constexpr const char* k_not_finite = "not a finite number";

}  // namespace

void put_null(Json& object, const std::string& key, const std::string& reason) {
  object[key] = nullptr;
  object[key + "_reason"] = reason;
}

// Adding zero turns -0 into 0.
Json number(double value) {
  return std::isfinite(value) ? Json(value + 0.0) : Json(nullptr);
}

void put(Json& object, const std::string& key, double value) {
  object[key] = number(value);
  if (!std::isfinite(value)) object[key + "_reason"] = k_not_finite;
}

void put_quantiles(Json& object, const std::array<double, 5>& values) {
  // Names of estimate::k_quantile_orders.
  constexpr std::array<const char*, 5> names{"0.025", "0.05", "0.5", "0.95", "0.975"};
  for (std::size_t i = 0; i < names.size(); ++i) put(object, names[i], values[i]);
}

Json estimate_json(const estimate::Estimate& estimate) {
  Json object = Json::object();
  put(object, "chance", estimate.chance);
  put(object, "standard_error", estimate.standard_error);
  const auto& [low, high] = estimate.interval;
  object["interval_95"] = Json::array({number(low), number(high)});
  if (!std::isfinite(low) || !std::isfinite(high)) object["interval_95_reason"] = k_not_finite;
  if (estimate.few_values) object["bound_by"] = "measured values";
  return object;
}

void put(Json& object, const std::string& key, const std::optional<double>& value,
         const std::string& reason) {
  if (value) {
    put(object, key, *value);
  } else {
    put_null(object, key, reason);
  }
}

Json opening(std::string_view command, const scenario::Scenario& scenario,
             const estimate::Options& options, const std::string& method) {
  Json object = Json::object();
  object["command"] = command;
  object["title"] = scenario.title;
  object["version"] = k_version;
  object["seed"] = options.seed;
  object["method"] = method;
  for (const scenario::Measured& input : scenario::measured(scenario)) {
    Json one = Json::object();
    one["key"] = input.key;
    one["values"] = input.count;
    put(one, "least_chance", input.share());
    one["note"] = measured_note(input);
    object["measured"].push_back(std::move(one));
  }
  return object;
}

std::string closed(Json object) {
  object["cautions"] = k_cautions;
  // ASCII only: C1 controls in a title reach no terminal.
  return object.dump(-1, ' ', true, Json::error_handler_t::replace) + "\n";
}

}  // namespace blendrisk::report
