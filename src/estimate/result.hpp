#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <exception>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "scenario/scenario.hpp"

/// What an estimate says of itself, as plain values: computing fills these, reporting reads them.
namespace blendrisk::estimate {

/// A chance with its error. `interval` holds the true chance in 95 % of runs, unless the answer
/// notes that it is less sure.
struct Estimate {
  double chance = 0.0;
  double standard_error = 0.0;
  std::array<double, 2> interval{0.0, 0.0};
  /// No miss was seen, or the interval reaches 0: read interval[1] as an upper bound.
  bool upper_bound_only = false;
  /// The bound is the least chance that so few measured values bear, see measured.hpp.
  bool few_values = false;
};

/// Why the cases of a scenario cannot be evaluated.
enum class Impossible {
  empty_tank,       ///< the tank may hold nothing at all after the fill of `key`
  no_line,          ///< the line has no volume: nothing tells how long its old fuel lasts
  no_rate,          ///< the rate `key` is missing beside the key `needs`
  no_rate_by_time,  ///< or beside a time
  figure,           ///< what the dispenser showed, `key`, is all but excluded
  done,             ///< it plans a fill that `key` says is done
  second_look,      ///< what the gauge showed at the pump is all but excluded
  look_to_plan      ///< it plans where the gauge was read again and the way is correlated
};
struct ImpossibleScenario : std::exception {
  explicit ImpossibleScenario(Impossible what, std::string of = {}, std::string beside = {})
      : why(what), key(std::move(of)), needs(std::move(beside)) {}

  Impossible why;
  std::string key, needs;
};

enum class Side { below, above };
/// What ended a run, in the order in which one of several parts speaks for all.
/// decision_served: the chance is so far below the accepted risk that no more of it matters.
enum class Stop { exact, decision_served, precision_reached, budget_spent };
enum class Method { conditional, crude };

/// How chances came about: one of these, or several where the answers of one table or curve differ.
struct Methods {
  bool exact = false;        ///< nothing was left to draw
  bool conditional = false;  ///< on points, given all inputs but one
  bool points = false;       ///< on points, with no input to condition on
  bool crude = false;        ///< cases were counted

  Methods& operator|=(const Methods& other) {
    exact |= other.exact;
    conditional |= other.conditional;
    points |= other.points;
    crude |= other.crude;
    return *this;
  }
};

/// How an answer was got.
struct Effort {
  Methods methods{};
  std::uint64_t evaluations = 0;
  Stop stop = Stop::exact;
  bool tilted = false;  ///< points tilted toward the event

  Effort& operator+=(const Effort& other) {
    methods |= other.methods;
    evaluations += other.evaluations;
    stop = std::max(stop, other.stop);
    tilted |= other.tilted;
    return *this;
  }
};

/// An estimated chance and how it was got.
struct Result {
  Estimate estimate;
  Effort effort;
};
/// Anything else, and how it was found.
template <class Value>
struct Found {
  Value value{};
  Effort effort{};
};

/// Told the evaluations so far and an estimate of all that are needed; called from the calling
/// thread now and then in a long run.
using Progress = std::function<void(std::uint64_t done, std::uint64_t expected)>;

/// The most cases that are counted where that was not asked for.
inline constexpr std::uint64_t k_most_counted = 20'000'000;

struct Options {
  std::uint64_t seed = 1;
  unsigned threads = 0;  ///< 0 = as many as the machine has
  double precision = 0.01;
  /// Whether a run may stop short of the precision where the decision is served.
  bool decision_serves = false;
  /// Whether all that is asked is how a chance lies to the accepted risk: where no point shows it,
  /// a hundredth of that is bound enough.
  bool decides = false;
  /// The most cases that are counted to tell that, where they are.
  std::uint64_t most_counted = k_most_counted;
  /// A standard error that is small enough whatever the chance.
  double small_error = 0.0;
  std::optional<std::uint64_t> cases{};  ///< fixed budget instead of the precision
  bool importance_sampling = true;       ///< else points of the inputs' own law alone
  Method method = Method::conditional;
};

/// Orders of the quantiles that are reported.
inline constexpr std::array<double, 5> k_quantile_orders{0.025, 0.05, 0.5, 0.95, 0.975};

struct Landed {
  double mean = 0.0;
  double standard_deviation = 0.0;
  std::array<double, 5> quantiles{};
  double error = 0.0;  ///< the largest standard error of a quantile
};

/// Which calibration bears a content within the accepted risk.
enum class Fits { neither, old_one, new_one, both };

/// The chances beyond a band; `met`: that of either is within the accepted risk, where only an
/// upper bound is known, that is.
struct BandChances {
  std::optional<Estimate> below_minimum, above_maximum;
  Estimate outside;
  bool met = false;
};

/// What the tank holds after a fill that is not the last.
struct Leg {
  Landed landed;
  BandChances limits;
  std::optional<BandChances> before;  ///< of the old calibration's band, where that is given
  std::optional<Fits> fits;           ///< the same
};

/// What the tank held before the last fill, at k_quantile_orders [L], as planned and given what the
/// dispenser showed, and where it was to land as planned.
struct Learned {
  std::array<double, 5> heel_before_l{}, heel_after_l{};
  Landed landed_before;
};

/// What is known of an input for the next changeover: share and value of points of its distribution
/// function, rising, between which its value is straight in the normal score: one point where it is
/// exact, two where it is normal.
struct CarriedLaw {
  std::string key;
  std::vector<std::array<double, 2>> points;
};
struct CarriedOver {
  std::vector<CarriedLaw> laws;
  std::vector<scenario::Correlation> ranks;
};

/// Share of draws of one input outside the physical range, held at its bound.
struct Clamped {
  std::string key;
  double share = 0.0;
};

/// A side whose interval is less sure: a few tilted points carry most of its chance, or no tilt
/// toward it could be fitted.
struct LessSure {
  Side side;
  bool tilted;
};

/// The answer of `chance`.
struct ChanceResult {
  Landed landed;
  std::optional<Estimate> below_minimum, above_maximum;
  Estimate outside;
  Estimate run_dry;
  std::optional<Estimate> clicked_off_early;  ///< metered last fill only, not done
  std::optional<Learned> learned;             ///< where a fill is done
  std::vector<Leg> between;                   ///< after each fill but the last, where asked for
  std::optional<CarriedOver> carried;         ///< for the next changeover, where asked for
  /// The chance outside is within the accepted risk; where only an upper bound is known, that is.
  bool met = false;
  bool dry_met = false;  ///< the same of running dry and the dry risk
  bool clearly = false;  ///< the whole interval lies on that side of the accepted risk
  Effort effort;
  std::string conditioned_on;       ///< key, empty for crude Monte Carlo
  std::vector<Clamped> held;        ///< only those above 0.1 % of cases
  std::vector<LessSure> less_sure;  ///< sides whose intervals are less sure than 95 %
};

}  // namespace blendrisk::estimate
