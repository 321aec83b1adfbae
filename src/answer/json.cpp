#include "answer/json.hpp"

#include <cmath>

#include "answer/shared.hpp"
#include "answer/words.hpp"
#include "version.hpp"

namespace blendrisk::answer {

// Adding zero turns -0 into 0.
Json json(double value) {
  return std::isfinite(value) ? Json(value + 0.0) : Json(nullptr);
}

Json json(const estimate::Estimate& estimate) {
  Members object;
  object("chance", estimate.chance)("standard_error", estimate.standard_error);
  const auto& [low, high] = estimate.interval;
  object("interval_95", Json::array({json(low), json(high)}));
  if (!std::isfinite(low) || !std::isfinite(high)) {
    object("interval_95_reason", "none.not_finite"_w);
  }
  if (estimate.few_values) object("bound_by", "bound_by.measured"_w);
  return object;
}

Json json(const std::array<double, 5>& quantiles) {
  // Names of estimate::k_quantile_orders.
  constexpr std::array<const char*, 5> names{"0.025", "0.05", "0.5", "0.95", "0.975"};
  Members object;
  for (std::size_t i = 0; i < names.size(); ++i) object(names[i], quantiles[i]);
  return object;
}

Json json(const estimate::Landed& landed) {
  return Members()("mean", landed.mean)("standard_deviation", landed.standard_deviation)(
      "quantiles", landed.quantiles);
}

Members& Members::operator()(const std::string& key, double value) {
  object_[key] = json(value);
  if (!std::isfinite(value)) object_[key + "_reason"] = "none.not_finite"_w;
  return *this;
}

Json with(const estimate::Estimate& estimate, const std::string& key, double value) {
  Json object = json(estimate);
  object[key] = json(value);
  return object;
}

std::optional<Json> with(const std::optional<estimate::Estimate>& estimate, const std::string& key,
                         const std::optional<double>& value) {
  if (!estimate || !value) return {};
  return with(*estimate, key, *value);
}

std::optional<Json> quantiles(const std::optional<std::array<double, 5>>& values) {
  if (!values) return {};
  return Members()("quantiles", *values);
}

Members opening(std::string_view command, const Asked& asked, const std::string& method) {
  Members object;
  object("command", command)("title", asked.scenario.title)("version", k_version);
  object("seed", asked.options.seed)("method", method);
  Json measured = Json::array();
  for (const scenario::Measured& input : scenario::measured(asked.scenario)) {
    measured.push_back(Members()("key", input.key)("values", input.count)(
        "least_chance", input.share())("note", shown(measured_note(input))));
  }
  if (!measured.empty()) object("measured", measured);
  return object;
}

Json shown_all(const std::vector<Value>& values) {
  Json all = Json::array();
  for (const Value& value : values) all.push_back(shown(value));
  return all;
}

std::string closed(Json object) {
  object["cautions"] = cautions();
  // ASCII only: C1 controls in a title reach no terminal.
  return object.dump(-1, ' ', true, Json::error_handler_t::replace) + "\n";
}

}  // namespace blendrisk::answer
