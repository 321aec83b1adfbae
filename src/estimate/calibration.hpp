#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

/// Whether forecasts came true as often as they said. A forecast's share is the chance that it gave
/// to less than what came: uniform on [0, 1] where forecasts are honest, so that its normal score
/// is standard normal whatever the forecasts' laws.
namespace blendrisk::estimate {

/// Cramér and von Mises's statistic of n >= 1 shares against the uniform law.
double cramer_von_mises(std::vector<double> shares);

/// The chance of a larger one where the shares are uniform: the limit law by its Bessel series (T.
/// W. Anderson and D. A. Darling, Annals of Mathematical Statistics 23, 1952), of the statistic
/// modified for n (M. A. Stephens, JRSS B 32, 1970); both from memory.
double cramer_von_mises_p(double statistic, std::size_t n);

/// Spreads of forecasts, as multiples of the right one, whose power is told.
inline constexpr std::array<double, 4> k_told_spreads{0.5, 0.7, 1.4, 2.0};

/// What so many rows can tell.
struct Reach {
  std::array<double, 4> power{};  ///< chance of a verdict other than honest at k_told_spreads
  /// Spreads below and above the right one that are found in 80 %; of two rows or more.
  std::optional<double> narrow, wide;
  double shift = 0.0;  ///< found in 80 %, in standard deviations of the forecasts
};

/// Fewer rows than this are not called honest: they can tell very little.
inline constexpr std::size_t k_fewest_judged = 8;

/// The verdict on normal scores: their mean and their variance, independent where forecasts are
/// honest, each tested so that both pass in 95 % then, at any number of rows. The intervals hold
/// both in 95 %.
struct Calibration {
  std::size_t rows = 0;
  double shift = 0.0;  ///< mean score: what came lies so many standard deviations above
  std::array<double, 2> shift_interval{};
  double widen = 1.0;  ///< sd of the scores: forecasts' spread times this is right; of 2 or more
  std::array<double, 2> widen_interval{};
  bool off = false;              ///< by a shift
  bool too_sure = false;         ///< the spread is too narrow
  bool not_sure_enough = false;  ///< or too wide
  Reach reach;

  bool honest() const { return !off && !too_sure && !not_sure_enough; }
  bool cannot_tell() const { return honest() && rows < k_fewest_judged; }
};

/// @param scores  at least one
Calibration judged(std::span<const double> scores);

/// The chance of a verdict other than honest where the forecasts' spread is so many times the right
/// one and they are off by `shift` standard deviations.
double power_of(std::size_t rows, double spread, double shift);

}  // namespace blendrisk::estimate
