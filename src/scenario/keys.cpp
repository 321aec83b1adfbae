#include "scenario/keys.hpp"

#include <algorithm>

#include "units/nearest.hpp"

namespace blendrisk::scenario {
namespace {

using units::Dimension;

// A million litres, seconds of a year and the like: beyond any car, far below what overflows.
constexpr double k_most = 1e6;

constexpr Range k_no_range{0.0, 0.0, false, ""};
constexpr Range k_volume{0.0, k_most, false, "0 L to 1000000 L"};
constexpr Range k_positive_volume{0.0, k_most, true, "more than 0 L, at most 1000000 L"};
constexpr Range k_volume_error{-k_most, k_most, false, "-1000000 L to 1000000 L"};
constexpr Range k_content{0.0, 1.0, false, "0 % to 100 %"};
constexpr Range k_signed_share{-1.0, 1.0, false, "-100 % to 100 %"};
constexpr Range k_risk{0.0, 1.0, true, "more than 0 %, less than 100 %"};
constexpr Range k_rate{0.0, 1.0, false, "0 L/h to 3600 L/h"};
constexpr Range k_positive_rate{0.0, 1.0, true, "more than 0 L/h, less than 3600 L/h"};
constexpr Range k_time{0.0, 1e5, false, "0 s to 100000 s"};
constexpr Range k_distance{0.0, k_most, false, "0 km to 1000000 km"};
constexpr Range k_economy{0.0, 100.0, true, "more than 0 L/100km, less than 10000 L/100km"};
constexpr Range k_price{0.0, k_most, false, "0 /L to 1000000 /L"};

void add_fuel(std::vector<Key>& table, const std::string& section, const std::string& which) {
  table.push_back({section, "content", Kind::uncertain, Dimension::content, k_content, "",
                   "required", "content that " + which + " delivers"});
  table.push_back({section, "meter-error", Kind::uncertain, Dimension::fraction, k_signed_share,
                   "0 %", "", "delivered = shown x (1 + error)"});
  table.push_back({section, "hose-volume", Kind::uncertain, Dimension::volume, k_volume, "0 L", "",
                   "the previous customer's fuel in the hose, delivered first"});
  // Pump gasoline holds 10 % at most where it is E10 (ASTM D4814, from memory).
  table.push_back({section, "hose-content", Kind::uncertain, Dimension::content, k_content, "10 %",
                   "", "content of the fuel in the hose"});
  table.push_back({section, "price", Kind::quantity, Dimension::price, k_price, "", "none",
                   "money per volume, only for what a margin costs"});
}

void add_amount(std::vector<Key>& table, const std::string& section) {
  table.push_back({section, "amount", Kind::amount, Dimension::volume, k_volume, "click-off", "",
                   "what the dispenser shows; never beyond click-off"});
}

void add_tank_and_heel(std::vector<Key>& t) {
  t.push_back({"", "title", Kind::text, Dimension::number, k_no_range, "", "the file's name",
               "shown in every report"});
  t.push_back({"tank", "capacity", Kind::quantity, Dimension::volume, k_positive_volume, "",
               "required", "nominal volume"});
  t.push_back({"tank", "click-off", Kind::uncertain, Dimension::volume, k_positive_volume, "",
               "the capacity", "total volume in the tank at which the nozzle shuts itself off"});
  t.push_back({"tank", "pickup-floor", Kind::quantity, Dimension::volume, k_volume, "0 L", "",
               "volume in the tank below which the pump draws air"});
  t.push_back({"heel", "indicated", Kind::gauge, Dimension::volume, k_volume, "",
               "required, or distance-left with economy",
               "what the gauge or trip computer says is left"});
  t.push_back({"heel", "distance-left", Kind::quantity, Dimension::distance, k_distance, "", "none",
               "range left: indicated = reserve + distance x economy"});
  t.push_back({"heel", "economy", Kind::quantity, Dimension::economy, k_economy, "", "none",
               "fuel use that the trip computer reckons with"});
  t.push_back({"heel", "reserve", Kind::quantity, Dimension::volume, k_volume, "0 L", "",
               "volume left when the range shows nothing"});
  t.push_back({"heel", "gauge-error", Kind::uncertain, Dimension::volume, k_volume_error, "0 L", "",
               "true = indicated + error, held within 0 and click-off"});
  t.push_back({"heel", "content", Kind::uncertain, Dimension::content, k_content, "",
               "required, or reading", "content of the old fuel"});
  t.push_back({"heel", "reading", Kind::quantity, Dimension::content, k_content, "", "none",
               "what the sensor showed before the fill: true = reading - sensor.bias"});
}

void add_sensor(std::vector<Key>& t) {
  t.push_back({"sensor", "bias", Kind::uncertain, Dimension::content, k_signed_share, "0 %", "",
               "reading - true; one draw for all readings of a case"});
  t.push_back({"sensor", "noise", Kind::quantity, Dimension::content, k_content, "0 %", "",
               "standard deviation of each reading"});
  t.push_back(
      {"sensor", "step", Kind::quantity, Dimension::content, k_content, "0 %", "", "resolution"});
  t.push_back({"sensor", "lag", Kind::quantity, Dimension::time, k_time, "0 s", "",
               "first-order time constant"});
}

void add_line_and_rest(std::vector<Key>& t) {
  const auto volume = [&t](const char* name, const char* meaning) {
    t.push_back({"line", name, Kind::uncertain, Dimension::volume, k_volume, "0 L", "", meaning});
  };
  volume("reservoir", "stirred volume at the pump");
  volume("filter", "stirred volume of the filter");
  volume("pipe", "pipe between reservoir and filter");
  t.push_back({"line", "pipe-flow", Kind::pipe_flow, Dimension::number, k_no_range, "laminar", "",
               "residence law of the pipe"});
  t.push_back({"line", "return-flow", Kind::uncertain, Dimension::rate, k_rate, "0 L/h", "",
               "fuel pumped round and back to the tank; 0 for a returnless system"});
  volume("beyond-sensor", "stirred volume between sensor and injectors");
  t.push_back({"line", "content", Kind::uncertain, Dimension::content, k_content, "", "the heel's",
               "content that the line holds before the fill"});
  t.push_back({"engine", "idle", Kind::uncertain, Dimension::rate, k_positive_rate, "", "none",
               "fuel burned at idle"});
  t.push_back({"engine", "gentle", Kind::uncertain, Dimension::rate, k_positive_rate, "", "none",
               "fuel burned in gentle driving"});
  t.push_back({"engine", "schedule", Kind::schedule, Dimension::time, k_no_range, "idle", "",
               "phases after the fill; the last goes on"});
  t.push_back({"limits", "minimum", Kind::quantity, Dimension::content, k_content, "",
               "required, or maximum, or both", "lowest content that the calibration bears"});
  t.push_back({"limits", "maximum", Kind::quantity, Dimension::content, k_content, "", "none",
               "highest content that the calibration bears"});
  t.push_back({"limits", "accepted-risk", Kind::quantity, Dimension::fraction, k_risk, "1 %", "",
               "chance of landing outside the limits that is accepted"});
  t.push_back({"limits", "dry-risk", Kind::quantity, Dimension::fraction, k_risk, "1 %", "",
               "chance of running dry before the fill that is accepted"});
}

std::vector<Key> make_table() {
  std::vector<Key> table;
  add_tank_and_heel(table);
  add_sensor(table);
  add_fuel(table, "fuel", "the pump");
  add_amount(table, "fill");
  for (int n = 2; n <= k_last_fill; ++n) {
    const std::string section = "fill-" + std::to_string(n);
    add_fuel(table, section, "the pump of fill " + std::to_string(n));
    add_amount(table, section);
    table.push_back({section, "burn-first", Kind::uncertain, Dimension::volume, k_volume, "0 L", "",
                     "burned since the fill before"});
    table.push_back({section, "indicated", Kind::gauge, Dimension::volume, k_volume, "", "none",
                     "what the gauge shows before this fill, in place of burn-first"});
  }
  add_line_and_rest(table);
  return table;
}

const std::vector<Key>& table() {
  static const std::vector<Key> keys_in_order = make_table();
  return keys_in_order;
}

}  // namespace

std::span<const Key> keys() {
  return table();
}

const Key* find_key(std::string_view full_name) {
  const auto found = std::find_if(table().begin(), table().end(),
                                  [&](const Key& key) { return key.full_name() == full_name; });
  return found == table().end() ? nullptr : &*found;
}

std::span<const std::string> key_names() {
  static const std::vector<std::string> names = [] {
    std::vector<std::string> result;
    for (const Key& key : table()) result.push_back(key.full_name());
    return result;
  }();
  return names;
}

std::span<const std::string> section_names() {
  static const std::vector<std::string> names = [] {
    std::vector<std::string> result;
    for (const Key& key : table()) {
      const bool fresh = std::find(result.begin(), result.end(), key.section) == result.end();
      if (!key.section.empty() && fresh) result.push_back(key.section);
    }
    return result;
  }();
  return names;
}

std::string kind_text(const Key& key) {
  std::string dimension(units::name(key.dimension));
  switch (key.kind) {
    case Kind::text:
      return "text";
    case Kind::quantity:
      return dimension;
    case Kind::gauge:
      return dimension + " or share of the tank";
    case Kind::uncertain:
      return "uncertain " + dimension;
    case Kind::amount:
      return "click-off or " + dimension;
    case Kind::pipe_flow:
      return "laminar or plug";
    case Kind::schedule:
      return "phases";
  }
  return {};
}

std::string accepted_text(const Key& key) {
  switch (key.kind) {
    case Kind::text:
      return "any text";
    case Kind::quantity:
      return units::accepted_text(key.dimension);
    case Kind::gauge:
      return units::accepted_text(key.dimension) + " or a share of the tank such as 1/8 tank";
    case Kind::uncertain:
      return units::accepted_text(key.dimension) + " or a law such as normal(mean, sd)";
    case Kind::amount:
      return "click-off or " + units::accepted_text(key.dimension);
    case Kind::pipe_flow:
      return "laminar or plug";
    case Kind::schedule:
      return "phases of idle and gentle such as idle 4 min, gentle";
  }
  return {};
}

std::string nearest_note(std::string_view word, std::span<const std::string> known) {
  const std::string near = units::nearest(word, known);
  return near.empty() ? std::string() : " (the nearest known name is " + near + ")";
}

}  // namespace blendrisk::scenario
