#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

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

/// A scenario whose cases cannot be evaluated (a tank that may hold nothing at all).
struct ImpossibleScenario : std::runtime_error {
  using std::runtime_error::runtime_error;
};

enum class Side { below, above };
enum class Stop { exact, precision_reached, budget_spent };
enum class Method { conditional, crude };

/// Told the evaluations so far and an estimate of all that are needed; called from the calling
/// thread now and then in a long run.
using Progress = std::function<void(std::uint64_t done, std::uint64_t expected)>;

struct Options {
  std::uint64_t seed = 1;
  unsigned threads = 0;  ///< 0 = as many as the machine has
  double precision = 0.01;
  std::optional<std::uint64_t> cases;  ///< fixed budget instead of the precision
  Method method = Method::conditional;
};

/// Orders of the quantiles that are reported.
inline constexpr std::array<double, 5> k_quantile_orders{0.025, 0.05, 0.5, 0.95, 0.975};

struct Landed {
  double mean = 0.0;
  double standard_deviation = 0.0;
  std::array<double, 5> quantiles{};
};

/// Share of draws of one input outside the physical range, held at its bound.
struct Clamped {
  std::string key;
  double share = 0.0;
};

/// The answer of `chance`.
struct ChanceResult {
  Landed landed;
  std::optional<Estimate> below_minimum, above_maximum;
  Estimate outside;
  Estimate run_dry;
  std::optional<Estimate> clicked_off_early;  ///< metered last fill only
  /// The chance outside is within the accepted risk; where only an upper bound is known, that is.
  bool met = false;
  bool dry_met = false;  ///< the same of running dry and the dry risk
  bool clearly = false;  ///< the whole interval lies on that side of the accepted risk
  std::string method;    ///< "conditional", "crude" or "exact", with why where it is a fallback
  std::string conditioned_on;  ///< key, empty for crude Monte Carlo
  bool tilted = false;
  Stop stop = Stop::precision_reached;
  std::uint64_t evaluations = 0;
  std::vector<Clamped> held;       ///< only those above 0.1 % of cases
  std::vector<std::string> notes;  ///< e.g. that the interval is less sure
};

}  // namespace blendrisk::estimate
