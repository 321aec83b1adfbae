#pragma once

#include <array>
#include <optional>
#include <vector>

#include "answer/answers.hpp"
#include "estimate/limit.hpp"
#include "line/readings.hpp"
#include "scenario/known.hpp"

/// Parts that answers share.
namespace blendrisk::answer {

/// To accept a risk above this is no advice.
inline constexpr double k_most_to_accept = 0.2;

/// Columns of the names in a table of chances.
inline constexpr std::size_t k_chance_columns = 29;

/// The title and what fits any answer.
Description opened(const Asked& asked);

/// A table of chances.
Section chances();

/// The rows of the limits that have a chance, `id`.below and `id`.above.
std::vector<Row> limit_rows(const std::string& id, const scenario::Limits& limits,
                            const std::optional<estimate::Estimate>& below,
                            const std::optional<estimate::Estimate>& above);

/// The row of a chance of running dry before a fill.
Row running_dry(const Asked& asked, const estimate::Estimate& estimate);

/// Mean, standard deviation, median and the middle 95 % of the landed content.
Section landed_section(std::string_view heading, const estimate::Landed& landed);

/// What the tank held before the fill: the median and the middle 95 % that the dispenser's figure
/// leaves, and the median of the plan.
Value told(const estimate::Learned& learned);

/// That the dry risk is not met and what that may do; nothing where it is met.
Value dry_warning(const Asked& asked, const estimate::ChanceResult& result);

/// What an answer depends on: where the tank lands, what the old calibration bears between fills
/// too, or the line, engine and sensor too; nothing that is told.
enum class About { landing, between, line, nothing };

/// Of an answer that tells what the tank holds between fills where there are several.
inline About landing_of(const scenario::Scenario& scenario) {
  return scenario.fills.size() > 1 ? About::between : About::landing;
}

/// Every key that the user gave and the answer depends on, and the defaults that stand in for
/// others; then how the answer was computed, its notes and the cautions, each where it is not
/// empty. `computed` has the rows that stand above the seed.
/// @param without  keys that vary
void close(Description& description, const Asked& asked, About about, std::vector<Row> computed,
           std::vector<Value> notes = {}, const std::vector<std::string>& without = {});

/// What would do in place of what was asked, or that nothing would.
Section what_would_do(std::vector<Value> ways);

/// The plan with two fills to click-off, the first from where the tank stands or from the reading
/// `first`, the second from `second`, and what the tank holds between them, where that is told.
Value two_fills(const scenario::Scenario& scenario, const Value& first, const Value& second,
                const std::vector<estimate::Leg>& between = {});

/// The amounts that are allowed, as a dispenser shows them: "18.87 to 22.52 L", or "18.87 L" where
/// no limit binds above.
Value amounts(double least_l, const std::optional<double>& largest_l);

/// "conditional", or "conditional and crude" where answers differ; empty where there is none.
std::string methods_text(const estimate::Methods& methods);
/// Of a chance: "crude (...)" too, with why it stands in for the conditional one.
std::string method_of(const Asked& asked, const estimate::ChanceResult& result);
/// Of all points of a curve, or all cells of a table.
template <class One>
std::string methods_text_of(const std::vector<One>& all) {
  estimate::Methods methods;
  for (const One& one : all) methods |= one.effort.methods;
  return methods_text(methods);
}
Row method_row(const std::string& method);
Row evaluations_row(std::uint64_t evaluations);
/// What an answer is conditioned on, with its label.
Value conditioned(const std::string& key);

/// "heel.gauge-error was held at its physical bound in 1.2 % of cases".
Value held_note(const estimate::Clamped& held);

/// That so few measured values of an input bear no smaller chance, and what would.
Value measured_note(const scenario::Measured& input);

/// Litres of a margin as the words `id`.more, .less, or .none where the display shows none.
Value margin(std::string_view id, double margin_l, UnitSystem units);

/// "12 min", "3 L burned".
inline Value moment(const line::Moment& at) {
  return at.by == line::Moment::By::time ? time(at.value) : say("burned", volume(at.value));
}

/// "less than 62 %" or "more than 62 %".
inline Value beyond_limit(const estimate::Limit& limit) {
  return say(limit.below() ? "less_than" : "more_than", content(limit.value));
}

/// What a user gave for a key, and what stands where one is not given.
Value given_value(const scenario::Given& one);
Value default_value(const scenario::Given& one);

/// The median and the middle 95 %: "62 % (95 %: 60 % to 64 %)".
template <class Show>
Value middle_and_range(const Show& as, const std::array<double, 5>& quantiles) {
  return say("middle_and_range", as(quantiles[2]), as(quantiles[0]), as(quantiles[4]));
}

/// An uncertain value that is exactly 0.
inline bool is_nothing(const distributions::Distribution& law) {
  return distributions::is_exact(law) && distributions::mean(law) == 0.0;
}

/// Whether the scenario gives whoever tests fuel no error.
inline bool is_exact(const scenario::Tester& tester) {
  return is_nothing(tester.bias) && tester.sd == 0.0 && tester.step == 0.0;
}

/// That the accepted risk is so much.
inline Value accepted(const Asked& asked) {
  return percent(asked.scenario.limits.accepted_risk);
}

}  // namespace blendrisk::answer
