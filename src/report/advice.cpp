#include "report/advice.hpp"

#include <cmath>

namespace blendrisk::report {

std::string two_fills_text(const scenario::Scenario& scenario,
                           const std::optional<std::string>& first, const std::string& second) {
  // Less old fuel is only farther from the one limit; with two it may miss the other.
  const bool one_limit = !(scenario.limits.minimum && scenario.limits.maximum);
  std::string text = "Two fills: ";
  if (first) text += "run down to " + *first + ", ";
  return text + "fill until the nozzle clicks off, drive down to " + second +
         (one_limit ? " or less" : "") +
         ", and fill until it clicks off again, with fuel of the same kind from another delivery "
         "(one delivery twice would need a lower reading). " +
         std::string(k_between_fills);
}

std::string accepted_risk_text(const scenario::Scenario& scenario) {
  return "the accepted risk of " + short_text(100.0 * scenario.limits.accepted_risk) + " %";
}

std::string dry_risk_text(const scenario::Scenario& scenario) {
  return "the dry risk of " + short_text(100.0 * scenario.limits.dry_risk) + " %";
}

std::string amounts_text(double least_l, const std::optional<double>& largest_l, UnitSystem units) {
  const std::string least = dispenser_text(least_l, units);
  if (!largest_l) return least;
  return least.substr(0, least.find(' ')) + " to " + dispenser_text(*largest_l, units);
}

std::string margin_text(double margin_l, UnitSystem units) {
  const std::string size = dispenser_text(std::abs(margin_l), units);
  // As it is shown: a hair of rounding is no margin.
  if (size == dispenser_text(0.0, units)) return "just what";
  return size + (margin_l > 0.0 ? " more than" : " less than");
}

}  // namespace blendrisk::report
