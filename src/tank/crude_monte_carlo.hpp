#pragma once

#include "sampling/case_inputs.hpp"
#include "tank/chance.hpp"

/// Counting: every input drawn with pseudo-random numbers, misses counted. Where fills are done, a
/// case is kept with the chance that the dispenser shows just what it showed (rejection sampling).
namespace blendrisk::tank {

/// What n independent cases counted to.
struct Counts {
  std::uint64_t drawn = 0;
  std::uint64_t cases = 0;  ///< kept: all but where fills are done
  std::uint64_t below = 0, above = 0, run_dry = 0, clicked_off = 0;
  double sum = 0.0, sum_of_squares = 0.0;  ///< of landed content − 1/2
  std::vector<double> first;  ///< landed contents of the first cases, at most 2¹⁸ drawn
};

/// Draws exactly `cases` cases of the stream named by (seed, round); memory does not grow with
/// their number.
Counts count_cases(const sampling::CaseInputs& inputs, std::uint64_t cases, std::uint64_t seed,
                   std::uint64_t round, unsigned threads, const estimate::Progress& progress);

/// The whole answer by counting: to options.precision on the chance of landing outside the limits
/// (a pilot sizes a fresh final run), at most `most` cases unless options.cases says how many.
estimate::ChanceResult crude_chance(const sampling::CaseInputs& inputs,
                                    const estimate::Options& options,
                                    const estimate::Progress& progress,
                                    std::uint64_t most = 1'000'000'000);

}  // namespace blendrisk::tank
