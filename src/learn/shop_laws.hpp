#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "learn/gauge_law.hpp"
#include "learn/log.hpp"
#include "learn/pump_law.hpp"
#include "learn/sensor_law.hpp"
#include "scenario/scenario.hpp"

/// What a shop's log tells of the next fill of one car: the pump's, the sensor's and the gauge's
/// laws.
namespace blendrisk::learn {

struct ShopQuestion {
  /// What the log is held against; nullptr: the pump alone is asked for, and the tester is exact.
  const scenario::Scenario* car = nullptr;
  /// The car's number in the log's names; none: it has several, and none of them is meant.
  std::optional<std::uint32_t> of_car;
  std::optional<std::uint32_t> pump;  ///< in the log's names; none: not chosen
  bool pump_alone = false;            ///< no other pump's law is wanted
  double same_delivery_days = 3.0;
  std::optional<double> on_day;  ///< of the season, since 1970-01-01
};

/// Why the log tells nothing of something.
enum class Untold {
  no_pump_test,  ///< no row tests the pump
  not_asked,     ///< it takes the car's scenario
  no_check,      ///< no row has the sensor's reading beside a test of the tank
  no_such_car,   ///< several cars, none of them the scenario's
  no_fill        ///< no row of the car has the gauge beside a fill to click-off or a measured heel
};

struct PumpPart {
  PumpLaws laws;
  std::vector<std::string> names;     ///< of the laws' pumps; "" where the log names none
  std::optional<std::size_t> chosen;  ///< of the laws' pumps; none: not chosen, or without tests
  bool untested = false;              ///< the pump that was chosen has no test in these rows
  std::vector<double> contents;       ///< as tested, of the chosen or the only pump

  /// Of the pump that is chosen, or of one without tests where that is; none: not told.
  const StudentLaw* law() const;
};

struct SensorPart {
  SensorLaws laws;
  std::size_t checks = 0;         ///< of all cars
  std::optional<std::size_t> of;  ///< the car's place in the laws; none: it has no check
  std::vector<std::size_t> off;   ///< lines of its checks that were left out

  const LawOfSensor* own() const { return of ? &laws.cars[*of] : nullptr; }
  bool is_own() const { return own() != nullptr && own()->bias.has_value(); }
  /// The car's own, or that of a new sensor where its checks are too few; none: not told.
  const StudentLaw* bias() const;
  std::optional<double> noise() const;
};

struct GaugePart {
  GaugeLaws laws;
  std::vector<std::size_t> off;  ///< lines of rows that were left out
};

/// Each part, or why there is none.
template <class Part>
struct Told {
  std::optional<Part> part;
  Untold why = Untold::not_asked;
};

struct ShopLaws {
  std::size_t rows = 0;
  std::size_t of_car = 0;  ///< of these the car's
  Told<PumpPart> pump;
  Told<SensorPart> sensor;
  Told<GaugePart> gauge;

  bool any() const { return pump.part || sensor.part || gauge.part; }
};

/// The laws from these rows of the log. The gauge's rows are the car's fills to click-off with what
/// the gauge or, by the scenario's economy, the trip computer showed before, and those whose heel
/// was measured; the sensor's are settled readings beside a test of the tank.
ShopLaws shop_laws(const ShopLog& log, std::span<const std::size_t> rows,
                   const ShopQuestion& question);

}  // namespace blendrisk::learn
