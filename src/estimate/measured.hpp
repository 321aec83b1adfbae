#pragma once

#include <array>
#include <atomic>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "estimate/result.hpp"
#include "sampling/case_inputs.hpp"
#include "scenario/known.hpp"

/// What chances n measured values can bear.
///
/// Of n values and the next one, drawn alike, each is as likely as any other to be the least: the
/// next one lies below all that were measured with chance 1/(n + 1), above them with the same, and
/// how far is not known (order statistics; assumption A(n), B. M. Hill, Journal of the American
/// Statistical Association 63, 1968; from memory). So a chance P, computed as if there were nothing
/// beyond the measured values, may be greater by
///
///     1/(n + 1) · P(miss | the input at an end of what it may be),   at the worse end,
///
/// summed over the measured inputs; one at whose ends a miss is less than three times as likely as
/// P counts less, and not at all where it is no likelier. Where P is not below that it is told as
/// it is; else that is told, as a bound. An input that hardly moves the chance adds nothing; one
/// that decides it adds 1/(n + 1).
namespace blendrisk::estimate {

/// A measured input that cases depend on.
struct MeasuredInput : scenario::Measured {
  /// What it may be: the window's bounds, or else the physical range, contents 0 and 100 %, volumes
  /// 0 and the tank's capacity, a gauge that is off by more than any tank, a bias or a meter's
  /// error of 100 %, rates 0 (of an engine 0.0036 L/h) and 3600 L/h. In no case short of a value
  /// that was measured.
  std::array<double, 2> ends{};
};
std::vector<MeasuredInput> measured_inputs(const sampling::CaseInputs& inputs);

/// The most that these may add to a chance: their shares.
double most_added(std::span<const MeasuredInput> inputs);

/// The scenario with a measured input at one end (0 the low one); what is correlated with it is as
/// where the input's normal score is the median of those beyond n values, Φ⁻¹(1/(2 (n + 1))).
scenario::Scenario at_end(const scenario::Scenario& scenario, const MeasuredInput& input,
                          std::size_t end);

/// What lies beyond n values may add to a chance, from the chances at both ends.
double added(const MeasuredInput& input, double chance, const std::array<double, 2>& at_ends);

/// Options for the chances at ends, of which a tenth is close enough: few points, the user's seed
/// and threads, the fast method.
Options at_ends(const Options& options);

/// Points of the own law do at an end where they tell its chance to so much of itself.
inline constexpr double k_known_at_ends = 0.03;

/// Where nothing can be conditioned on, this many cases are counted at an end.
inline constexpr std::uint64_t k_counted_at_ends = std::uint64_t{1} << 17U;

/// The same chances as those told, in their order, of a scenario at an end. Asked for several
/// ends at once on several threads.
using ChancesAt =
    std::function<std::vector<Estimate>(const scenario::Scenario&, const Options& few)>;

/// Lifts chances that lie below what the measured inputs bear to that, as bounds. Where there is no
/// measured input, and where none of the chances is small enough, nothing is computed. At an end a
/// few points of the own law do where they tell what it adds, else there are those of at_ends.
/// @return the most that any would be lifted to, as a share of what it was: 0 where nothing was
/// computed, 1 or less where none was lifted
double lift(const sampling::CaseInputs& inputs, std::span<Estimate* const> told,
            const Options& options, const ChancesAt& at);

/// Lifts the chances of a result.
/// @param chances  the chances of such a result, as pointers
/// @param at       the same result of a scenario at an end
template <class Told, class Chances, class At>
double lift(const sampling::CaseInputs& inputs, Told& told, const Chances& chances,
            const Options& options, const At& at) {
  const std::vector<Estimate*> all = chances(told);
  std::atomic<std::uint64_t> evaluations = 0;
  const double share =
      lift(inputs, all, options, [&](const scenario::Scenario& scenario, const Options& few) {
        auto there = at(scenario, few);
        evaluations += there.effort.evaluations;
        std::vector<Estimate> values;
        for (const Estimate* one : chances(there)) values.push_back(*one);
        return values;
      });
  told.effort.evaluations += evaluations;
  return share;
}

/// That of a result with one estimate.
inline std::vector<Estimate*> chance_of(Result& result) {
  return {&result.estimate};
}

}  // namespace blendrisk::estimate
