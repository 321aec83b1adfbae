#pragma once

#include <array>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "answer/description.hpp"
#include "scenario/scenario.hpp"

/// Members of JSON answers from results, by the type of each.
namespace blendrisk::answer {

struct Asked;
using Json = nlohmann::ordered_json;

/// A number, -0 as 0; null where it is not finite.
Json json(double value);
/// {"chance", "standard_error", "interval_95"}; "bound_by" where so few measured values bear no
/// smaller chance.
Json json(const estimate::Estimate& estimate);
/// One value a name of estimate::k_quantile_orders: "0.025", "0.05" and so on.
Json json(const std::array<double, 5>& quantiles);
/// {"mean", "standard_deviation", "quantiles"}
Json json(const estimate::Landed& landed);
template <class Other>
Json json(const Other& value) {
  return Json(value);
}

/// Fills an object, member by member.
class Members {
 public:
  template <class Type>
  Members& operator()(const std::string& key, const Type& value) {
    object_[key] = json(value);
    return *this;
  }
  /// With the reason where it is not finite.
  Members& operator()(const std::string& key, double value);

  /// The value, or null with the reason.
  template <class Type>
  Members& operator()(const std::string& key, const std::optional<Type>& value,
                      std::string_view reason) {
    if (value) return (*this)(key, *value);
    object_[key] = nullptr;
    object_[key + "_reason"] = reason;
    return *this;
  }
  /// The text, or null with the reason where it is empty.
  Members& text(const std::string& key, const std::string& value, std::string_view reason) {
    return (*this)(key, value.empty() ? std::optional<std::string>() : value, reason);
  }

  operator Json() const { return object_; }

 private:
  Json object_ = Json::object();
};

/// An estimate with what else is known of it: {"chance", ..., "limit"}.
Json with(const estimate::Estimate& estimate, const std::string& key, double value);
/// The same where both are there.
std::optional<Json> with(const std::optional<estimate::Estimate>& estimate, const std::string& key,
                         const std::optional<double>& value);
/// {"quantiles"} where there are any.
std::optional<Json> quantiles(const std::optional<std::array<double, 5>>& values);

/// command, title, version, seed and method; "measured" where inputs are known by measured values.
Members opening(std::string_view command, const Asked& asked, const std::string& method);

/// The texts of values.
Json shown_all(const std::vector<Value>& values);

/// The text of an answer: the object with the cautions on one line of ASCII, and a newline. Any
/// bytes may stand in the texts: what is not UTF-8 is replaced.
std::string closed(Json object);

}  // namespace blendrisk::answer
