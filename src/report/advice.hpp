#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "report/format.hpp"
#include "scenario/scenario.hpp"

/// What several answers say in the same words, as sentences without a line's breaks.
namespace blendrisk::report {

/// Stands wherever a chance of running dry is told as something to accept or to avoid (common
/// practice, no source).
inline constexpr std::string_view k_running_dry =
    "Running dry stalls the engine, maybe in traffic, and the help to steer and brake goes with "
    "it; an electric pump in the tank is cooled by its fuel and may be damaged.";

/// Stands wherever several fills are advised.
inline constexpr std::string_view k_between_fills =
    "What the tank holds between the fills, and which calibration bears it, this answer does not "
    "tell: `chance` for the first fill alone tells what it then holds; whether to keep to the old "
    "calibration, and to a light load, is for the calibration's maker to say.";

/// The plan with two fills to click-off, the first from where the tank stands or from the reading
/// `first`, the second from `second`, as the gauge shows them in words.
std::string two_fills_text(const scenario::Scenario& scenario,
                           const std::optional<std::string>& first, const std::string& second);

/// "the accepted risk of 1 %", "the dry risk of 1 %".
std::string accepted_risk_text(const scenario::Scenario& scenario);
std::string dry_risk_text(const scenario::Scenario& scenario);

/// The amounts that are allowed, as a dispenser shows them: "18.87 to 22.52 L", or "18.87 L" where
/// no limit binds above.
std::string amounts_text(double least_l, const std::optional<double>& largest_l, UnitSystem units);

/// "5.17 L more than", "5.17 L less than", "just what": a margin before "the arithmetic says".
std::string margin_text(double margin_l, UnitSystem units);

}  // namespace blendrisk::report
