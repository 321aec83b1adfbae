#include "estimate/known.hpp"

#include <cassert>

namespace blendrisk::estimate {
namespace {

using distributions::Distribution;
using sampling::LineInput;
using sampling::Slot;

Distribution& law_of_line(scenario::Scenario& scenario, LineInput input) {
  scenario::Line& line = scenario.line;
  switch (input) {
    case LineInput::reservoir:
      return line.reservoir;
    case LineInput::filter:
      return line.filter;
    case LineInput::pipe:
      return line.pipe;
    case LineInput::beyond_sensor:
      return line.beyond_sensor;
    case LineInput::return_flow:
      return line.return_flow;
    case LineInput::content:
      return *line.content;
    case LineInput::idle:
      return *scenario.engine.idle;
    case LineInput::gentle:
      return *scenario.engine.gentle;
    case LineInput::bias:
      break;
  }
  return scenario.sensor.bias;
}

}  // namespace

Distribution& law_of(scenario::Scenario& scenario, std::size_t slot) {
  if (slot == Slot::click_off) return scenario.tank.click_off;
  if (slot == Slot::gauge_error) return scenario.heel.gauge_error;
  if (slot == Slot::old_fuel) {
    return scenario.heel.reading ? scenario.sensor.bias : *scenario.heel.content;
  }
  const std::size_t number = (slot - Slot::first_fill) / Slot::per_fill;
  if (number >= scenario.fills.size()) {
    const std::size_t input = slot - Slot::content(scenario.fills.size());
    assert(input < sampling::k_line_inputs);
    return law_of_line(scenario, static_cast<LineInput>(input));
  }
  scenario::Fill& fill = scenario.fills[number];
  switch ((slot - Slot::first_fill) % Slot::per_fill) {
    case 0:
      return fill.content;
    case 1:
      return fill.meter_error;
    case 2:
      return fill.hose_volume;
    case 3:
      return fill.hose_content;
    default:
      return fill.burn_first;
  }
}

scenario::Scenario known_at(scenario::Scenario scenario, std::size_t slot, const std::string& key,
                            double value, double score) {
  if (!scenario.correlations.empty()) scenario.known.push_back({key, score});
  law_of(scenario, slot) = distributions::exact(value);
  return scenario;
}

}  // namespace blendrisk::estimate
