#pragma once

#include <array>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "estimate/result.hpp"
#include "scenario/scenario.hpp"

/// Parts that JSON answers share. A number that does not exist is null, with a reason beside it.
namespace blendrisk::report {

using Json = nlohmann::ordered_json;

/// key: null, key_reason: why.
void put_null(Json& object, const std::string& key, const std::string& reason);

/// Null where it is not finite.
Json number(double value);
void put(Json& object, const std::string& key, double value);

/// The value, or null with the reason.
void put(Json& object, const std::string& key, const std::optional<double>& value,
         const std::string& reason);

/// One value a name of estimate::k_quantile_orders: "0.025", "0.05" and so on.
void put_quantiles(Json& object, const std::array<double, 5>& values);

/// {"chance", "standard_error", "interval_95"}; "bound_by" where so few measured values bear no
/// smaller chance.
Json estimate_json(const estimate::Estimate& estimate);

/// An object with command, title, version, seed and method; "measured" where inputs are known by
/// measured values.
Json opening(std::string_view command, const scenario::Scenario& scenario,
             const estimate::Options& options, const std::string& method);

/// The text of an answer: the object with the cautions, on one line.
std::string closed(Json object);

}  // namespace blendrisk::report
