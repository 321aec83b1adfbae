#include "report/labels.hpp"

#include <array>
#include <utility>

#include "report/format.hpp"
#include "scenario/correlation.hpp"

namespace blendrisk::report {
namespace {

using Entry = std::pair<std::string_view, std::string_view>;

constexpr std::array<Entry, 26> k_labels{{
    {"title", "title"},
    {"tank.capacity", "capacity of the tank"},
    {"tank.click-off", "volume in the tank at click-off"},
    {"tank.pickup-floor", "pickup floor (pump draws air)"},
    {"heel.indicated", "old fuel left, as indicated"},
    {"heel.distance-left", "distance left, as indicated"},
    {"heel.economy", "fuel use the indication reckons"},
    {"heel.reserve", "old fuel left at distance 0"},
    {"heel.gauge-error", "gauge error (true - indicated)"},
    {"heel.content", "content of the old fuel"},
    {"heel.reading", "sensor's reading before the fill"},
    {"sensor.bias", "sensor's bias (reading - true)"},
    {"sensor.noise", "sensor's noise, sd per reading"},
    {"sensor.step", "sensor's display step"},
    {"sensor.lag", "sensor's time constant"},
    {"line.reservoir", "stirred volume at the pump"},
    {"line.filter", "stirred volume of the filter"},
    {"line.pipe", "pipe from reservoir to filter"},
    {"line.pipe-flow", "flow in the pipe"},
    {"line.return-flow", "fuel pumped back to the tank"},
    {"line.beyond-sensor", "stirred volume beyond the sensor"},
    {"line.content", "content in the line at first"},
    {"engine.idle", "fuel burned at idle"},
    {"engine.gentle", "fuel burned in gentle driving"},
    {"engine.schedule", "driving after the fill"},
    {"limits.dry-risk", "accepted risk of running dry"},
}};

constexpr std::array<Entry, 3> k_limits{{
    {"limits.minimum", "minimum content"},
    {"limits.maximum", "maximum content"},
    {"limits.accepted-risk", "accepted risk of a miss"},
}};

// Of fuel.* and fill.*, and of fill-N.*.
constexpr std::array<Entry, 8> k_fill_labels{{
    {"content", "content from the pump"},
    {"meter-error", "meter error, relative"},
    {"hose-volume", "fuel left in the hose"},
    {"hose-content", "content in the hose"},
    {"price", "price of the fuel"},
    {"amount", "amount on the dispenser"},
    {"burn-first", "burned since the last fill"},
    {"indicated", "fuel left, as indicated"},
}};

template <std::size_t N>
std::string_view find(const std::array<Entry, N>& entries, std::string_view name) {
  for (const Entry& entry : entries) {
    if (entry.first == name) return entry.second;
  }
  return {};
}

}  // namespace

std::string label(std::string_view key) {
  for (const std::string_view known : {find(k_labels, key), find(k_limits, key)}) {
    if (!known.empty()) return std::string(known);
  }
  const std::size_t dot = key.find('.');
  if (dot == std::string_view::npos) return std::string(key);
  if (scenario::is_correlation(key)) return "rank correlation (Spearman)";
  const std::string_view section = key.substr(0, dot);
  const std::string_view in_fill = find(k_fill_labels, key.substr(dot + 1));
  if (in_fill.empty()) return std::string(key);
  if (section == "fuel" || section == "fill") return std::string(in_fill);
  if (section.starts_with("fill-")) {
    return "fill " + std::string(section.substr(5)) + ": " + std::string(in_fill);
  }
  return std::string(key);
}

std::string held_note(const estimate::Held& held) {
  return held.key + " was held at its physical bound in " + short_text(100.0 * held.share, 2) +
         " % of cases";
}

std::string measured_note(const scenario::Measured& input) {
  return "The " + std::to_string(input.count) + " measured values of " + input.key +
         " bear no chance below about " + short_text(100.0 * input.share(), 2) +
         " % that rests on what lies beyond them: more tests, a law such as tests(...) or the one "
         "that learn prints, or a window, in [low, high], of what it can be at all, bear smaller "
         "ones.";
}

std::string_view stop_word(estimate::Stop stop) {
  switch (stop) {
    case estimate::Stop::exact:
      return "exact";
    case estimate::Stop::precision_reached:
      return "precision reached";
    case estimate::Stop::budget_spent:
      return "budget spent";
  }
  return "unknown";
}

}  // namespace blendrisk::report
