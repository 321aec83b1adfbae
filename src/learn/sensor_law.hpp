#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "learn/student_law.hpp"
#include "learn/tester_error.hpp"

/// A sensor's bias and noise, from readings beside tests of the same fuel.
namespace blendrisk::learn {

/// Contents are fractions.
struct SensorCheck {
  std::size_t car = 0;  ///< from 0
  double reading = 0.0, test = 0.0;
};

struct SensorQuestion {
  TesterError tester;
  double step = 0.0;         ///< of the sensor's display
  std::optional<double> at;  ///< the content that the bias is wanted at
};

/// Why there is no law.
enum class NoSensorLaw { one_check, all_equal };

/// One car's sensor.
struct LawOfSensor {
  std::size_t checks = 0;        ///< that the law rests on
  std::vector<std::size_t> off;  ///< of the car's checks those too far off to be of the rest
  std::optional<NoSensorLaw> none;
  double mean = 0.0;            ///< of reading − test
  double sd = 0.0;              ///< about the mean, or the line where a slope is told
  std::optional<double> slope;  ///< of reading − test over the content, where it is told
  double slope_chance = 1.0;    ///< of so much slope where there is none
  bool slope_asked = false;     ///< four checks at least, of contents that differ
  std::optional<StudentLaw> bias;
  double noise = 0.0;  ///< standard deviation of a reading
  bool tester_explains_all = false;
};

struct SensorLaws {
  std::vector<LawOfSensor> cars;         ///< by their number
  std::optional<StudentLaw> new_sensor;  ///< of a car without checks; where there are several cars
  double between_sd = 0.0;               ///< of the sensors, by REML
  std::optional<double> sensors_alike;   ///< the chance of sensors so different where all are alike
  double pooled_noise = 0.0;             ///< of a reading, by all cars together
  bool pooled_told = false;
};

/// Bias: reading − true, a t with n − 1 degrees of freedom about the mean (a line's n − 2 where its
/// slope is told at 1 %, F test), the tester's own bias taken out and its variance added. Noise:
/// the scatter without what the display rounds and the tester adds.
/// @pre checks are not empty, and cars are numbered without gaps
SensorLaws sensor_laws(const std::vector<SensorCheck>& checks, const SensorQuestion& question);

}  // namespace blendrisk::learn
