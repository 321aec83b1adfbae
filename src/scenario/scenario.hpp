#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "distributions/distribution.hpp"

/// Everything a scenario file says, in litres, fractions, seconds, litres per second.
namespace blendrisk::scenario {

using distributions::Distribution;

/// The uncertain inputs in the order in which they are drawn: those of the car, then those of each
/// fill, then, where the line and the sensor matter, those of the line. Each is a row of the table
/// of keys (keys.cpp), which says where it lives.
enum class Uncertain : std::size_t {
  click_off,
  gauge_error,
  old_content,
  to_pump,
  economy,
  content,
  meter_error,
  hose_volume,
  hose_content,
  burn_first,
  reservoir,
  filter,
  pipe,
  beyond_sensor,
  return_flow,
  line_content,
  idle,
  gentle,
  bias,
  end,
  first_of_fill = content,
  first_of_line = reservoir
};

struct Tank {
  double capacity_l = 0.0;
  Distribution click_off;  ///< defaults to the capacity
  double pickup_floor_l = 0.0;
};

struct Heel {
  double indicated_l = 0.0;  ///< as given, reserve + distance × economy, or heel.now
  /// Set where the gauge is read away from the pump (heel.now): kilometres to drive there.
  std::optional<Distribution> to_pump;
  /// Set where it was read there again, as indicated_l: what the two readings differ by.
  std::optional<double> burned_l;
  /// Set where the scenario gives heel.distance-left and heel.economy: litres per kilometre.
  std::optional<double> economy_l_per_km;
  double reserve_l = 0.0;
  Distribution gauge_error;  ///< with what its display's step leaves open
  double gauge_step_l = 0.0;
  std::optional<Distribution> content;  ///< exactly one of content and reading is set
  std::optional<double> reading;
};

struct Sensor {
  Distribution bias;
  double noise_sd = 0.0;
  double step = 0.0;
  double lag_s = 0.0;
};

/// What ended a fill that is done.
enum class StoppedBy { click_off, hand };

/// fuel.* and fill.*, or fill-N.*.
struct Fill {
  Distribution content;
  Distribution meter_error;
  Distribution hose_volume;
  Distribution hose_content;
  std::optional<double> price_per_l;
  std::optional<double> amount_l;  ///< what the dispenser is to show; none = to click-off
  std::optional<double> shown_l;   ///< what it showed in the end; none = not filled yet
  StoppedBy stopped_by = StoppedBy::click_off;  ///< where it did
  Distribution burn_first;                      ///< later fills: burned since the last one
  std::optional<double> indicated_l;  ///< later fills: gauge before this one (then burn_first is 0)
};

enum class PipeFlow { laminar, plug };

struct Line {
  Distribution reservoir, filter, pipe, beyond_sensor, return_flow;
  std::optional<Distribution> content;  ///< none = the heel's
  PipeFlow pipe_flow = PipeFlow::laminar;
};

enum class Load { idle, gentle };

struct Phase {
  Load load = Load::idle;
  std::optional<double> duration_s;  ///< none only for the last, which goes on
};

struct Engine {
  std::optional<Distribution> idle, gentle;  ///< litres per second
  std::optional<Distribution> economy;       ///< litres per kilometre, on the way to the pump
  std::vector<Phase> schedule{Phase{}};
};

/// Whoever tests the pump and the tank, with a tube or a better sensor. It moves no landing.
struct Tester {
  Distribution bias;
  double sd = 0.0;
  double step = 0.0;
};

/// What the calibration in use until the switch bears.
struct Before {
  std::optional<double> minimum, maximum;
};

struct Limits {
  std::optional<double> minimum, maximum;
  double accepted_risk = 0.01;
  double dry_risk = 0.01;
};

/// What a shop's policy goes by.
struct Policy {
  /// Inputs of the car or its line that are drawn once a car, not at every change.
  std::vector<Uncertain> persistent;
};

/// Spearman's rank correlation of two uncertain inputs, by their keys; see correlation.hpp.
struct Correlation {
  std::string first, second;
  double rank = 0.0;
};

/// An input that has become known, in a scenario derived from another: its law is exact, and the
/// inputs correlated with it are as they are where its normal score is this.
struct Known {
  std::string key;
  double score = 0.0;
};

/// One key as the user gave it, for the "assumed" part of a report.
struct Given {
  std::string key;           ///< "heel.gauge-error"
  std::string value;         ///< "normal(0 L, 1.5 L)"
  std::string comment = {};  ///< on the key's own line of the file
};

struct Scenario {
  std::string title;
  Tank tank;
  Heel heel;
  Sensor sensor;
  std::vector<Fill> fills;  ///< at least one
  Line line;
  Engine engine;
  Before before;
  Tester tester;
  Limits limits;
  Policy policy;
  std::vector<Correlation> correlations;
  std::vector<Known> known;
  std::vector<Given> given;     ///< in the order of the key table
  std::vector<Given> defaults;  ///< keys not given that the landing depends on
};

}  // namespace blendrisk::scenario
