#include "ask/readings.hpp"

#include "text/error.hpp"

namespace blendrisk::ask {
namespace {

using text::Error;

line::Moment moment_of(const scenario::LoggedReading& reading) {
  using By = line::Moment::By;
  return {reading.by_time ? By::time : By::burned, reading.at};
}

void require_rates(const line::Follow& follow, const scenario::LoggedReading& reading) {
  const double capacity = follow.line().inputs().scenario().tank.capacity_l;
  if (!reading.by_time && reading.at > capacity) {
    throw Error("more is burned than the tank holds", "at most tank.capacity");
  }
  if (!reading.by_time || follow.line().has_rates()) return;
  throw Error("the reading is by time, and the scenario has no rate for engine.schedule",
              "engine.idle = 0.9 L/h, or what was burned in place of the time");
}

}  // namespace

line::Reading taken(const line::Follow& follow, const scenario::LoggedReading& reading) {
  require_rates(follow, reading);
  return follow.reading(moment_of(reading), reading.content);
}

}  // namespace blendrisk::ask
