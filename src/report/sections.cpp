#include "report/sections.hpp"

#include <algorithm>
#include <cmath>

#include "report/advice.hpp"
#include "report/cautions.hpp"
#include "report/format.hpp"
#include "report/labels.hpp"
#include "report/plain_text.hpp"
#include "scenario/correlation.hpp"

namespace blendrisk::report {
namespace {

/// Decimals of a percent that show two digits of the spread.
int content_decimals(double standard_deviation) {
  const double percent = 100.0 * standard_deviation;
  if (!(percent > 1e-6) || percent >= 1.0) return 1;
  return static_cast<int>(std::min(1.0 - std::floor(std::log10(percent)), 6.0));
}

constexpr std::size_t k_chance_columns = 29;
constexpr std::size_t k_value_columns = 22;

bool bears_on(std::string_view key, About about) {
  if (key == "title" || key.ends_with(".price")) return false;
  if (about == About::line) return true;
  if (scenario::is_correlation(key)) {
    const auto [first, second] = scenario::correlated_keys(key);
    return bears_on(first, about) && bears_on(second, about);
  }
  if (key.starts_with("line.") || key.starts_with("engine.")) return false;
  return key != "sensor.noise" && key != "sensor.step" && key != "sensor.lag";
}

}  // namespace

namespace {

/// What measured values cannot tell; nothing where there are none.
std::string measured_section(const scenario::Scenario& scenario, About about) {
  std::string lines;
  for (const scenario::Measured& input : scenario::measured(scenario)) {
    if (bears_on(input.key, about)) lines += wrapped(measured_note(input), "  - ");
  }
  return lines.empty() ? lines : heading("What measured values bear") + lines;
}

}  // namespace

std::string row(std::string_view name, std::size_t columns, std::string_view value) {
  return wrapped(value, "  " + padded(name, columns) + "  ");
}

std::string heading(std::string_view text) {
  return std::string("\n").append(text).append("\n");
}

std::string title_lines(const scenario::Scenario& scenario) {
  std::string title = shortened(scenario.title, k_columns);
  if (title.empty()) title = "Untitled";
  return title + "\n" + std::string(width(title), '=') + "\n\n";
}

std::string chances_heading() {
  return heading(padded("Chance of", k_chance_columns + 4) + padded("chance", k_value_columns + 2) +
                 "95 % interval");
}

std::string chance_row(const std::string& name, const estimate::Estimate& estimate) {
  const std::string value = estimate_text(estimate);
  // A bound has no interval.
  if (value.starts_with("below")) return row(name, k_chance_columns, value);
  const bool exact = estimate.interval[0] == estimate.interval[1];
  const std::string interval = exact ? "exact" : interval_text(estimate);
  const std::string head = "  " + padded(name, k_chance_columns) + "  ";
  const std::string beside = head + padded(value, k_value_columns) + "  " + interval;
  if (width(beside) <= k_columns) return beside + "\n";
  return head + value + "\n" + std::string(width(head), ' ') + interval + "\n";
}

std::string landed_section(std::string_view name, const estimate::Landed& landed) {
  const int decimals = content_decimals(landed.standard_deviation);
  const auto percent = [&](double fraction) { return content_text(fraction, decimals); };
  constexpr std::size_t columns = 26;
  return heading(name) + row("mean", columns, percent(landed.mean)) +
         row("standard deviation", columns, percent(landed.standard_deviation)) +
         row("median", columns, percent(landed.quantiles[2])) +
         row("95 % of cases", columns,
             percent(landed.quantiles[0]) + " to " + percent(landed.quantiles[4]));
}

std::string assumed_section(const scenario::Scenario& scenario, UnitSystem units, About about) {
  constexpr std::size_t room = k_columns - k_label_columns - 4;
  std::string lines;
  const auto add = [&](const scenario::Given& given, const char* note) {
    const std::string value = units == UnitSystem::us ? in_gallons(given.value) : given.value;
    // The names of two inputs may take two lines.
    const bool pair = scenario::is_correlation(given.key);
    lines += row(shortened(label(given.key), k_label_columns), k_label_columns,
                 pair ? value : shortened(value + note, room));
  };
  for (const scenario::Given& given : scenario.given) {
    if (bears_on(given.key, about)) add(given, "");
  }
  for (const scenario::Given& given : scenario.defaults) add(given, " (default)");
  if (!lines.empty()) lines = heading("What was assumed") + lines;
  return lines + measured_section(scenario, about);
}

std::string dry_warning(const scenario::Scenario& scenario, const estimate::ChanceResult& result) {
  if (result.dry_met) return {};
  return wrapped(
      "RUNS DRY TOO OFTEN: the chance that the heel is below the pickup floor before a fill is " +
      estimate_text(result.run_dry) + ", above the accepted " +
      short_text(100.0 * scenario.limits.dry_risk) + " %. " + std::string(k_running_dry));
}

std::string cautions_section() {
  std::string text = heading("Cautions");
  for (const std::string_view caution : k_cautions) text += wrapped(caution, "  - ");
  return text;
}

}  // namespace blendrisk::report
