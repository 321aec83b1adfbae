#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "learn/student_law.hpp"
#include "learn/tester_error.hpp"
#include "learn/variance_components.hpp"

/// The law of the next delivery of a pump, from tests of earlier ones.
namespace blendrisk::learn {

/// Contents are fractions, days count from 1970-01-01.
struct PumpTest {
  std::size_t pump = 0;  ///< from 0
  std::optional<double> day;
  double content = 0.0;
};

struct PumpQuestion {
  double same_delivery_days = 3.0;
  std::optional<double> on_day;  ///< of the season; none: the last test's
  TesterError tester;
  /// The pump whose law alone is wanted, a further one where its number is none of theirs; none:
  /// each one's, and that of a further one.
  std::optional<std::size_t> only = {};
};

/// One annual harmonic.
struct Season {
  double years = 0.0;            ///< that the tests span
  bool asked = false;            ///< two years at least, and deliveries enough
  bool told = false;             ///< by a likelihood ratio at 1 %
  double chance = 1.0;           ///< of so much season where there is none
  double amplitude = 0.0;        ///< as it suits best
  double could_hide = 0.0;       ///< the largest within its 95 % region
  std::optional<double> on_day;  ///< that the laws are for, where it is told
};

struct LawOfPump {
  std::size_t tests = 0, deliveries = 0;
  double mean = 0.0;              ///< of its tests, as tested
  std::optional<StudentLaw> law;  ///< of the next delivery; none where no delivery is left of it
};

/// Why there is no law.
enum class NoPumpLaw { one_delivery, all_equal };

/// Where the tests' own scatter comes from.
enum class TesterScatter {
  known,         ///< the scenario gives it
  from_log,      ///< several tests of a delivery tell it
  more_in_log,   ///< they contradict the scenario, which is left aside
  taken_as_none  ///< neither: it stays in the deliveries' spread
};

struct PumpLaws {
  std::size_t tests = 0, deliveries = 0;
  std::size_t undated = 0;   ///< tests with no day, each a delivery of its own
  std::size_t partings = 0;  ///< of tests within those days that the tester does not explain
  std::optional<NoPumpLaw> none;
  Components components;  ///< by REML
  TesterScatter scatter = TesterScatter::taken_as_none;
  bool pumps_apart = true;            ///< false: each of several pumps has one delivery
  std::optional<double> pumps_alike;  ///< the chance of pumps so different where all are alike (F)
  Season season;
  std::vector<LawOfPump> pumps;        ///< by their number
  std::optional<StudentLaw> new_pump;  ///< that has no test yet; where there are several
};

/// The tests of one pump within `same_delivery_days` of the first of them are of one delivery, but
/// for those of different days that are farther apart than a known tester is in one log of a
/// hundred: a delivery came between them.
/// @pre tests are not empty, and pumps are numbered without gaps
PumpLaws pump_laws(const std::vector<PumpTest>& tests, const PumpQuestion& question);

}  // namespace blendrisk::learn
