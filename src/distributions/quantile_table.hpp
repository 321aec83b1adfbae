#pragma once

#include <array>
#include <atomic>
#include <cstddef>
#include <cstdint>
#include <mutex>
#include <span>

/// Quantiles at normal scores from a table, for laws whose inverse is a search.
namespace blendrisk::distributions {

class Law;

/// x(z) = quantile(Φ(z)) for z in [−k_farthest, k_farthest]. The score makes it smooth up to both
/// ends of any continuous law, so that Chebyshev interpolation on pieces of half a unit follows it
/// to rounding: within 1e-12 of max(|x|, the law's middle two thirds), in the far tails of a t law
/// with few degrees of freedom within 1e-8. A piece is made when first asked for.
class ScoreTable {
 public:
  static constexpr double k_farthest = 10.5;  ///< tail probabilities down to 4e-26

  explicit ScoreTable(const Law& law);

  /// x[i] = x(z[i]), z held within the table. x may be z.
  void quantile(std::span<const double> z, double* x) const;

  /// P(X <= x[i]), or with `above` P(X > x[i]), by interpolation of the z with x(z) = x[i], which
  /// Newton's steps tell at its points: within 1e-6 of either. Where pieces are too short for that,
  /// near a bound, and beyond the table the law itself is asked. share may be x.
  void shares(bool above, std::span<const double> x, std::span<double> share) const;

  /// The normal scores of the same shares, -infinity and infinity where they are 0 and 1. z may be
  /// x.
  void scores(bool above, std::span<const double> x, std::span<double> z) const;

 private:
  static constexpr std::size_t k_terms = 12;
  static constexpr double k_width = 0.5;
  static constexpr std::size_t k_pieces = 42;  ///< 2 k_farthest/k_width
  /// Of all pieces, term by term: coefficient k of piece j is [k][j].
  using Terms = std::array<std::array<double, k_pieces>, k_terms>;
  static double middle(std::size_t piece) {
    return -k_farthest + k_width * (static_cast<double>(piece) + 0.5);
  }
  void make(std::size_t piece) const;
  void require(std::size_t piece) const {
    if ((ready_.load(std::memory_order_acquire) >> piece & 1U) == 0) make(piece);
  }
  void make_knots() const;
  void make_back(std::size_t piece) const;
  double newton(double x, std::size_t piece, double t) const;
  /// Which pieces have how many terms: bit j of [k] says that piece j has more than k.
  using Lengths = std::array<std::atomic<std::uint64_t>, k_terms>;
  /// The coefficients of a piece, the last that are within `negligible` of the largest of the first
  /// two left out.
  static void store(const std::array<double, k_terms>& c, double negligible, std::size_t piece,
                    Terms& terms, Lengths& lengths);
  /// As many terms as any of the pieces has; 2 at least.
  static std::size_t most_terms(const Lengths& lengths, std::uint64_t pieces);
  template <class Finish>
  void look_back(bool above, std::span<const double> x, const Finish& finish) const;

  const Law& law_;
  double low_, high_;
  mutable Terms terms_{};
  mutable Lengths lengths_{}, back_lengths_{};
  mutable std::array<std::once_flag, k_pieces> made_;
  mutable std::atomic<std::uint64_t> ready_ = 0;  ///< a bit for each piece
  mutable std::once_flag made_knots_;
  mutable std::array<double, 64> knots_{};             ///< x at the pieces' ends, then infinities
  mutable std::array<double, k_pieces> per_length_{};  ///< 1/length, 0 of those that are too short
  mutable std::array<double, k_pieces> growth_{};      ///< of dx/dz over each, as a logarithm
  mutable std::array<double, k_pieces> grown_{};       ///< e^growth − 1
  mutable std::array<double, k_pieces> per_growth_{};  ///< 1/growth, 0 where that is 0
  mutable Terms back_{};  ///< of the way back, from where a score would be if dx/dz grew evenly
  mutable std::array<std::once_flag, k_pieces> made_back_;
  mutable std::atomic<std::uint64_t> ready_back_ = 0;
  mutable std::uint64_t long_enough_ = 0;                ///< a bit for each piece
  mutable std::atomic<std::uint64_t> not_followed_ = 0;  ///< which the way back does not follow
};

/// quantile(Φ(z)), from the nearer tail.
double quantile_at_score(const Law& law, double z);

}  // namespace blendrisk::distributions
