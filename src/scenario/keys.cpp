#include "scenario/keys.hpp"

#include <algorithm>
#include <array>
#include <utility>
#include <vector>

#include "models/infinity.hpp"
#include "text/nearest.hpp"

namespace blendrisk::scenario {
namespace {

using units::Dimension;

// A million litres, seconds of a year and the like: beyond any car, far below what overflows.
constexpr double k_most_value = 1e6;

/// A dimension with what is accepted of it.
struct Domain {
  Dimension dimension;
  Range range;
};
constexpr Domain k_words{Dimension::number, {0.0, 0.0, false, ""}};
constexpr Domain k_phases{Dimension::time, {0.0, 0.0, false, ""}};
constexpr Domain k_volume{Dimension::volume, {0.0, k_most_value, false, "0 L to 1000000 L"}};
constexpr Domain k_some_volume{Dimension::volume,
                               {0.0, k_most_value, true, "more than 0 L, at most 1000000 L"}};
constexpr Domain k_volume_error{Dimension::volume,
                                {-k_most_value, k_most_value, false, "-1000000 L to 1000000 L"}};
constexpr Domain k_content{Dimension::content, {0.0, 1.0, false, "0 % to 100 %"}};
constexpr Domain k_content_error{Dimension::content, {-1.0, 1.0, false, "-100 % to 100 %"}};
constexpr Domain k_relative_error{Dimension::fraction, {-1.0, 1.0, false, "-100 % to 100 %"}};
constexpr Domain k_risk{Dimension::fraction, {0.0, 1.0, true, "more than 0 %, less than 100 %"}};
constexpr Domain k_rate{Dimension::rate, {0.0, 1.0, false, "0 L/h to 3600 L/h"}};
constexpr Domain k_some_rate{Dimension::rate,
                             {0.0, 1.0, true, "more than 0 L/h, less than 3600 L/h"}};
constexpr Domain k_time{Dimension::time, {0.0, 1e5, false, "0 s to 100000 s"}};
constexpr Domain k_distance{Dimension::distance, {0.0, k_most_value, false, "0 km to 1000000 km"}};
constexpr Domain k_economy{Dimension::economy,
                           {0.0, 100.0, true, "more than 0 L/100km, less than 10000 L/100km"}};
constexpr Domain k_price{Dimension::price, {0.0, k_most_value, false, "0 /L to 1000000 /L"}};

const Distribution* pointer_to(const Distribution& law) {
  return &law;
}
const Distribution* pointer_to(const std::optional<Distribution>& law) {
  return law ? &*law : nullptr;
}

/// An input of the car or the line: a member of a part of the scenario.
template <auto Part, auto Member>
Row row_of(Uncertain input, bool (*matters)(const Scenario&, std::size_t) = nullptr) {
  return {
      input, 0, [](const Scenario& all, std::size_t) { return pointer_to((all.*Part).*Member); },
      [](Scenario& all, std::size_t, Distribution law) { (all.*Part).*Member = std::move(law); },
      matters};
}

/// An input of a fill.
template <auto Member>
Row row_of_fill(Uncertain input, std::size_t fill,
                bool (*matters)(const Scenario&, std::size_t) = nullptr) {
  return {input, fill,
          [](const Scenario& all, std::size_t at) { return pointer_to(all.fills[at].*Member); },
          [](Scenario& all, std::size_t at, Distribution law) {
            all.fills[at].*Member = std::move(law);
          },
          matters};
}

template <Load which>
bool is_driven(const Scenario& all, std::size_t) {
  return std::any_of(all.engine.schedule.begin(), all.engine.schedule.end(),
                     [](const Phase& phase) { return phase.load == which; });
}

bool is_metered(const Scenario& all, std::size_t fill) {
  return all.fills[fill].amount_l.has_value() || all.fills[fill].shown_l.has_value();
}

bool has_hose(const Scenario& all, std::size_t fill) {
  const Distribution& volume = all.fills[fill].hose_volume;
  return !distributions::is_exact(volume) || distributions::mean(volume) > 0.0;
}

bool has_way(const Scenario& all, std::size_t) {
  return all.heel.to_pump.has_value();
}

bool is_after_burning(const Scenario& all, std::size_t fill) {
  return !all.fills[fill].indicated_l;
}

/// Keys added section by section.
class Table {
 public:
  void section(const std::string& name, const std::string& label_head = "") {
    section_ = name;
    label_head_ = label_head;
  }
  /// @param absent  what stands where the key is not given: "= default", or a note
  void add(Kind kind, const char* name, const Domain& domain, std::string_view absent,
           const std::string& meaning, const char* label, std::optional<Row> row = {}) {
    const bool is_default = absent.starts_with("= ");
    keys.push_back({section_, name, kind, domain.dimension, domain.range,
                    std::string(is_default ? absent.substr(2) : ""),
                    std::string(is_default ? "" : absent), meaning, label_head_ + label, row});
  }
  void add(const Row& row, const char* name, const Domain& domain, std::string_view absent,
           const std::string& meaning, const char* label) {
    add(Kind::uncertain, name, domain, absent, meaning, label, row);
  }
  std::vector<Key> keys;

 private:
  std::string section_, label_head_;
};

namespace rows {

using enum Kind;
using enum Uncertain;

/// The keys of a fill, from 0: of "fuel" and "fill" for the first, of "fill-N" for later ones.
void add_fill(Table& t, std::size_t fill) {
  const std::string number = std::to_string(fill + 1);
  const bool later = fill > 0;
  t.section(later ? "fill-" + number : "fuel", later ? "fill " + number + ": " : "");
  t.add(text, "title", k_words, "none", "name of the pump, of many in a shop", "title of the pump");
  t.add(row_of_fill<&Fill::content>(content, fill), "content", k_content, k_required,
        "content that the pump" + (later ? " of fill " + number : "") + " delivers",
        "content from the pump");
  t.add(row_of_fill<&Fill::meter_error>(meter_error, fill, is_metered), "meter-error",
        k_relative_error, "= 0 %", "delivered = shown x (1 + error)", "meter error, relative");
  t.add(row_of_fill<&Fill::hose_volume>(hose_volume, fill), "hose-volume", k_volume, "= 0 L",
        "the previous customer's fuel in the hose, delivered first", "fuel left in the hose");
  // Pump gasoline holds 10 % at most where it is E10 (ASTM D4814, from memory).
  t.add(row_of_fill<&Fill::hose_content>(hose_content, fill, has_hose), "hose-content", k_content,
        "= 10 %", "content of the fuel in the hose", "content in the hose");
  t.add(quantity, "price", k_price, "none", "money per volume, only for what a margin costs",
        "price of the fuel");
  if (!later) t.section("fill");
  t.add(amount, "amount", k_volume, "= click-off",
        "what the dispenser shows; never beyond click-off", "amount on the dispenser");
  t.add(quantity, "shown", k_some_volume, "none",
        "what the dispenser showed at the end of this fill, once it is done",
        "shown by the dispenser");
  t.add(stopped_by, "stopped-by", k_words, "required beside shown",
        "what ended this fill: the nozzle by itself, or the hand before it did",
        "what ended the fill");
  if (!later) return;
  t.add(row_of_fill<&Fill::burn_first>(burn_first, fill, is_after_burning), "burn-first", k_volume,
        "= 0 L", "burned since the fill before", "burned since the last fill");
  t.add(gauge, "indicated", k_volume, "none",
        "what the gauge shows before this fill, in place of burn-first", "fuel left, as indicated");
}

void add_tank_and_heel(Table& t) {
  t.add(text, "title", k_words, "the file's name", "shown in every report", "title");
  t.section("tank");
  t.add(quantity, "capacity", k_some_volume, k_required, "nominal volume", "capacity of the tank");
  t.add(row_of<&Scenario::tank, &Tank::click_off>(click_off), "click-off", k_some_volume,
        "the capacity", "total volume in the tank at which the nozzle shuts itself off",
        "volume in the tank at click-off");
  t.add(quantity, "pickup-floor", k_volume, "= 0 L",
        "volume in the tank below which the pump draws air", "pickup floor (pump draws air)");
  t.section("heel");
  t.add(gauge, "indicated", k_volume, "required, or distance-left with economy",
        "what the gauge or trip computer says is left", "old fuel left, as indicated");
  t.add(quantity, "distance-left", k_distance, "none",
        "range left: indicated = reserve + distance x economy", "distance left, as indicated");
  t.add(quantity, "economy", k_economy, "none", "fuel use that the trip computer reckons with",
        "fuel use the indication reckons");
  t.add(quantity, "reserve", k_volume, "= 0 L", "volume left when the range shows nothing",
        "old fuel left at distance 0");
  t.add(gauge, "now", k_volume, "none",
        "what the gauge shows here, away from the pump, in place of indicated",
        "old fuel left here, as indicated");
  t.add(row_of<&Scenario::heel, &Heel::to_pump>(to_pump, has_way), "to-pump", k_distance,
        "required beside now", "distance still to drive to the pump", "distance to the pump");
  t.add(row_of<&Scenario::heel, &Heel::gauge_error>(gauge_error), "gauge-error", k_volume_error,
        "= 0 L", "true = indicated + error, held within 0 and click-off",
        "gauge error (true - indicated)");
  t.add(gauge, "gauge-step", k_volume, "= 0 L",
        "what the gauge can show: it is off by up to half of that besides its error",
        "gauge's display step");
  t.add(row_of<&Scenario::heel, &Heel::content>(old_content), "content", k_content,
        "required, or reading", "content of the old fuel", "content of the old fuel");
  t.add(quantity, "reading", k_content, "none",
        "what the sensor showed before the fill: true = reading - sensor.bias",
        "sensor's reading before the fill");
}

void add_sensor(Table& t) {
  t.section("sensor");
  t.add(row_of<&Scenario::sensor, &Sensor::bias>(bias), "bias", k_content_error, "= 0 %",
        "reading - true; one draw for all readings of a case", "sensor's bias (reading - true)");
  t.add(quantity, "noise", k_content, "= 0 %", "standard deviation of each reading",
        "sensor's noise, sd per reading");
  t.add(quantity, "step", k_content, "= 0 %", "resolution", "sensor's display step");
  t.add(quantity, "lag", k_time, "= 0 s", "first-order time constant", "sensor's time constant");
}

void add_tester(Table& t) {
  t.section("tester");
  t.add(law, "bias", k_content_error, "= 0 %", "test - true, one draw for all tests of a log",
        "tester's bias (test - true)");
  t.add(quantity, "sd", k_content, "= 0 %", "standard deviation of each test",
        "tester's error, sd per test");
  t.add(quantity, "step", k_content, "= 0 %", "resolution", "tester's step");
}

void add_line_and_engine(Table& t) {
  t.section("line");
  t.add(row_of<&Scenario::line, &Line::reservoir>(reservoir), "reservoir", k_volume, "= 0 L",
        "stirred volume at the pump", "stirred volume at the pump");
  t.add(row_of<&Scenario::line, &Line::filter>(filter), "filter", k_volume, "= 0 L",
        "stirred volume of the filter", "stirred volume of the filter");
  t.add(row_of<&Scenario::line, &Line::pipe>(pipe), "pipe", k_volume, "= 0 L",
        "pipe between reservoir and filter", "pipe from reservoir to filter");
  t.add(pipe_flow, "pipe-flow", k_words, "= laminar", "residence law of the pipe",
        "flow in the pipe");
  t.add(row_of<&Scenario::line, &Line::return_flow>(return_flow), "return-flow", k_rate, "= 0 L/h",
        "fuel pumped round and back to the tank; 0 for a returnless system",
        "fuel pumped back to the tank");
  t.add(row_of<&Scenario::line, &Line::beyond_sensor>(beyond_sensor), "beyond-sensor", k_volume,
        "= 0 L", "stirred volume between sensor and injectors", "stirred volume beyond the sensor");
  t.add(row_of<&Scenario::line, &Line::content>(line_content), "content", k_content, "the heel's",
        "content that the line holds before the fill", "content in the line at first");
  t.section("engine");
  t.add(row_of<&Scenario::engine, &Engine::idle>(idle, is_driven<Load::idle>), "idle", k_some_rate,
        "none", "fuel burned at idle", "fuel burned at idle");
  t.add(row_of<&Scenario::engine, &Engine::gentle>(gentle, is_driven<Load::gentle>), "gentle",
        k_some_rate, "none", "fuel burned in gentle driving", "fuel burned in gentle driving");
  t.add(row_of<&Scenario::engine, &Engine::economy>(economy, has_way), "economy", k_economy,
        "required beside heel.now", "fuel burned for the distance to the pump",
        "fuel use on the way to the pump");
  t.add(schedule, "schedule", k_phases, "= idle", "phases after the fill; the last goes on",
        "driving after the fill");
}

void add_before(Table& t) {
  t.section("before");
  t.add(quantity, "minimum", k_content, "none",
        "lowest content that the calibration in use until the switch bears",
        "old calibration's minimum");
  t.add(quantity, "maximum", k_content, "none",
        "highest content that the calibration in use until the switch bears",
        "old calibration's maximum");
}

void add_limits(Table& t) {
  t.section("limits");
  t.add(quantity, "minimum", k_content, "required, or maximum, or both",
        "lowest content that the calibration bears", "minimum content");
  t.add(quantity, "maximum", k_content, "none", "highest content that the calibration bears",
        "maximum content");
  t.add(quantity, "accepted-risk", k_risk, "= 1 %",
        "chance of landing outside the limits that is accepted", "accepted risk of a miss");
  t.add(quantity, "dry-risk", k_risk, "= 1 %",
        "chance of running dry before the fill that is accepted", "accepted risk of running dry");
}

void add_policy(Table& t) {
  t.section("policy");
  t.add(inputs, "persistent", k_words,
        "= heel.gauge-error, tank.click-off, sensor.bias, line.reservoir, line.filter, line.pipe, "
        "line.beyond-sensor",
        "what errs alike at all changes of one car; all else is drawn anew at each",
        "inputs drawn once a car");
}

}  // namespace rows

const std::vector<Key>& table() {
  static const std::vector<Key> keys_in_order = [] {
    Table t;
    rows::add_tank_and_heel(t);
    rows::add_sensor(t);
    for (std::size_t fill = 0; fill < k_last_fill; ++fill) rows::add_fill(t, fill);
    rows::add_line_and_engine(t);
    rows::add_before(t);
    rows::add_tester(t);
    rows::add_limits(t);
    rows::add_policy(t);
    return t.keys;
  }();
  return keys_in_order;
}

/// How a kind is shown and what it accepts; {} is the dimension.
struct KindTexts {
  std::string_view shown, accepted;
};

const KindTexts& texts_of(Kind kind) {
  static constexpr std::array<KindTexts, 10> k_texts{{
      {"text", "any text"},
      {"{}", "{}"},
      {"{} or share of the tank", "{} or a share of the tank such as 1/8 tank"},
      {"uncertain {}", "{} or a law such as normal(mean, sd)"},
      {"uncertain {}", "{} or a law such as normal(mean, sd)"},
      {"click-off or {}", "click-off or {}"},
      {"laminar or plug", "laminar or plug"},
      {"click-off or hand", "click-off or hand"},
      {"phases", "phases of idle and gentle such as idle 4 min, gentle"},
      {"keys of the car", "none, or keys of uncertain inputs of the car such as heel.gauge-error"},
  }};
  return k_texts.at(static_cast<std::size_t>(kind));
}

std::string filled(std::string_view pattern, const std::string& dimension) {
  std::string text(pattern);
  const std::size_t at = text.find("{}");
  return at == std::string::npos ? text : text.replace(at, 2, dimension);
}

}  // namespace

std::span<const Key> keys() {
  return table();
}

const Key* find_key(std::string_view full_name) {
  const auto found = std::find(key_names().begin(), key_names().end(), full_name);
  return found == key_names().end()
             ? nullptr
             : &table()[static_cast<std::size_t>(found - key_names().begin())];
}

const Key* key_of(Uncertain input, std::size_t fill) {
  // Asked for every input of every scenario: found once.
  constexpr auto k_inputs = static_cast<std::size_t>(Uncertain::end);
  using Places = std::array<std::array<const Key*, k_inputs>, k_last_fill>;
  static const Places places = [] {
    Places all{};
    for (const Key& key : table()) {
      if (key.row) all[key.row->fill][static_cast<std::size_t>(key.row->input)] = &key;
    }
    return all;
  }();
  return places[fill][static_cast<std::size_t>(input)];
}

const Distribution* law_of(const Scenario& scenario, const Key& key) {
  const Row& row = *key.row;
  return row.fill < scenario.fills.size() ? row.get(scenario, row.fill) : nullptr;
}

Bounds physical_bounds(const Key& key) {
  if (key.range.low < 0.0) return {-k_infinity, k_infinity};
  return {0.0, key.dimension == Dimension::content ? 1.0 : k_infinity};
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
      if (key.section.empty() || (!result.empty() && result.back() == key.section)) continue;
      result.push_back(key.section);
    }
    return result;
  }();
  return names;
}

std::string kind_text(const Key& key) {
  return filled(texts_of(key.kind).shown, std::string(units::name(key.dimension)));
}

std::string accepted_text(const Key& key) {
  return filled(texts_of(key.kind).accepted, units::accepted_text(key.dimension));
}

std::string nearest_note(std::string_view word, std::span<const std::string> known) {
  const std::string near = text::nearest(word, known);
  return near.empty() ? std::string() : " (the nearest known name is " + near + ")";
}

}  // namespace blendrisk::scenario
