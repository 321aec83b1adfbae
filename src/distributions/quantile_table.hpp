#pragma once

#include <array>
#include <span>
#include <vector>

/// Quantiles at normal scores from a table, for laws whose inverse is a search.
namespace blendrisk::distributions {

class Law;

/// x(z) = quantile(Φ(z)) for z in [−k_farthest, k_farthest]. The score makes it smooth up to both
/// ends of any continuous law, so that Chebyshev interpolation on pieces of half a unit follows it
/// to rounding: within 1e-12 of max(|x|, the law's middle two thirds), in the far tails of a t law
/// with few degrees of freedom within 1e-8.
class ScoreTable {
 public:
  static constexpr double k_farthest = 10.5;  ///< tail probabilities down to 4e-26

  explicit ScoreTable(const Law& law);

  /// x[i] = x(z[i]), z held within the table. x may be z.
  void quantile(std::span<const double> z, double* x) const;

 private:
  static constexpr std::size_t k_terms = 12;
  using Piece = std::array<double, k_terms>;
  double low_, high_;
  std::vector<Piece> pieces_;
};

/// quantile(Φ(z)), from the nearer tail.
double quantile_at_score(const Law& law, double z);

}  // namespace blendrisk::distributions
