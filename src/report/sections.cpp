#include "report/sections.hpp"

#include <algorithm>
#include <cmath>

#include "report/cautions.hpp"
#include "report/format.hpp"
#include "report/labels.hpp"
#include "report/plain_text.hpp"

namespace blendrisk::report {
namespace {

/// Decimals of a percent that show two digits of the spread.
int content_decimals(double standard_deviation) {
  const double percent = 100.0 * standard_deviation;
  if (!(percent > 0.0) || percent >= 1.0) return 1;
  return static_cast<int>(std::min(1.0 - std::floor(std::log10(percent)), 6.0));
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

std::string chance_row(const std::string& name, const estimate::Estimate& estimate) {
  constexpr std::size_t columns = 26;
  std::string value = estimate_text(estimate);
  const bool has_spread = estimate.interval[0] != estimate.interval[1];
  if (estimate.upper_bound_only || !has_spread) return row(name, columns, value);
  const std::string interval = interval_text(estimate);
  const std::string head = "  " + padded(name, columns) + "  ";
  const std::string beside = head + padded(value, 22) + "  " + interval;
  if (width(beside) <= k_columns) return beside + "\n";
  return head + value + "\n" + std::string(width(head) + 2, ' ') + "interval " + interval + "\n";
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

std::string assumed_section(const scenario::Scenario& scenario) {
  constexpr std::size_t room = k_columns - k_label_columns - 4;
  std::string lines;
  for (const scenario::Given& given : scenario.given) {
    if (given.key == "title") continue;
    lines += row(shortened(label(given.key), k_label_columns), k_label_columns,
                 shortened(given.value, room));
  }
  return lines.empty() ? lines : heading("What was assumed") + lines;
}

std::string cautions_section() {
  std::string text = heading("Cautions");
  for (const std::string_view caution : k_cautions) text += wrapped(caution, "  - ");
  return text;
}

}  // namespace blendrisk::report
