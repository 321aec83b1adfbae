#include "distributions/quantile_table.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

#include "distributions/law.hpp"
#include "models/chebyshev.hpp"
#include "numeric/target_clones.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::distributions {
namespace {

/// Of the values' size or the law's spread: a shorter piece does not tell scores apart.
constexpr double k_shortest_piece = 1e-4;
/// Below this growth a piece is as good as straight.
constexpr double k_straight = 1e-6;
constexpr int k_newton_steps = 8;
/// At so many places between its points the way back has to follow the law, in parts of half a
/// piece.
constexpr int k_looks = 9;
constexpr double k_follows = 1e-7;
/// Last terms of a piece that are left out, in parts of its largest; of the way back, in parts of
/// half a piece.
constexpr double k_negligible = 1e-14;
constexpr double k_negligible_back = 1e-10;

/// Σ c_k T_k(x) and its derivative, by Clenshaw's recurrence.
template <class Terms>
std::array<double, 2> sum_and_slope(const Terms& terms, std::size_t piece, double x) {
  double b1 = 0.0;
  double b2 = 0.0;
  double d1 = 0.0;
  double d2 = 0.0;
  for (std::size_t k = terms.size() - 1; k > 0; --k) {
    const double d = 2.0 * (b1 + x * d1) - d2;
    const double b = 2.0 * x * b1 - b2 + terms[k][piece];
    d2 = d1;
    d1 = d;
    b2 = b1;
    b1 = b;
  }
  return {x * b1 - b2 + terms[0][piece], b1 + x * d1 - d2};
}

// The piece of each score, and the place on it in [−1, 1].
BLENDRISK_CLONES void place_loop(const double* z, double farthest, double width, std::size_t pieces,
                                 std::int32_t* piece, double* t, std::size_t n) {
  const auto last = static_cast<std::int32_t>(pieces) - 1;
  for (std::size_t i = 0; i < n; ++i) {
    const double low = z[i] > -farthest ? z[i] : -farthest;
    const double place = ((low < farthest ? low : farthest) + farthest) / width;
    const auto number = static_cast<std::int32_t>(place);
    piece[i] = number < last ? number : last;
    t[i] = 2.0 * (place - static_cast<double>(piece[i])) - 1.0;
  }
}

// x[i] = Σ c_k T_k(t[i]) with the terms of its piece, by Clenshaw's recurrence, term by term for
// several points at once.
BLENDRISK_CLONES void sum_loop(const double* terms, std::size_t count, std::size_t pieces,
                               const std::int32_t* piece, const double* t, double* x,
                               std::size_t n) {
  constexpr std::size_t k_lanes = 16;
  for (std::size_t from = 0; from < n; from += k_lanes) {
    const std::size_t lanes = n - from < k_lanes ? n - from : k_lanes;
    std::array<double, k_lanes> b1{};
    std::array<double, k_lanes> b2{};
    std::array<double, k_lanes> twice{};
    std::array<std::int32_t, k_lanes> at{};
    for (std::size_t i = 0; i < lanes; ++i) twice[i] = 2.0 * t[from + i];
    for (std::size_t i = 0; i < lanes; ++i) at[i] = piece[from + i];
    for (std::size_t k = count - 1; k > 0; --k) {
      const double* c = terms + k * pieces;
      for (std::size_t i = 0; i < k_lanes; ++i) {
        const double b = twice[i] * b1[i] - b2[i] + c[at[i]];
        b2[i] = b1[i];
        b1[i] = b;
      }
    }
    for (std::size_t i = 0; i < lanes; ++i) {
      x[from + i] = 0.5 * twice[i] * b1[i] - b2[i] + terms[at[i]];
    }
  }
}

// The number of knots at or below x, by halves without a branch: that x lies in one piece or in
// another is as good as chance. Knots end with infinities.
BLENDRISK_CLONES void count_loop(const double* knots, const double* x, std::int32_t* count,
                                 std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) count[i] = 0;
  for (std::int32_t half = 32; half > 0; half /= 2) {
    for (std::size_t i = 0; i < n; ++i) {
      const std::int32_t next = count[i] + half;
      count[i] = knots[next - 1] <= x[i] ? next : count[i];
    }
  }
}

// From the count of knots to the piece, the nearest where there is none; the share t of it before
// x, 0 on short ones, and 1 + grown t.
BLENDRISK_CLONES void along_loop(const double* knots, const double* per_length, const double* grown,
                                 std::size_t pieces, const double* x, std::int32_t* piece,
                                 double* t, double* z, std::size_t n) {
  const auto last = static_cast<std::int32_t>(pieces) - 1;
  for (std::size_t i = 0; i < n; ++i) {
    const std::int32_t before = piece[i] - 1;
    const std::int32_t number = before < 0 ? 0 : before > last ? last : before;
    const double share = (x[i] - knots[number]) * per_length[number];
    // Beyond the table and on short pieces anything that is finite.
    const double within = share >= 0.0 && share <= 1.0 ? share : 0.0;
    piece[i] = number;
    t[i] = within;
    z[i] = 1.0 + grown[number] * within;
  }
}

// To the place on the piece in [−1, 1], from where a score would be if dx/dz grew evenly.
BLENDRISK_CLONES void back_loop(const double* per_growth, const std::int32_t* piece,
                                const double* logarithm, double* t, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double per = per_growth[piece[i]];
    t[i] = 2.0 * (per == 0.0 ? t[i] : logarithm[i] * per) - 1.0;
  }
}

BLENDRISK_CLONES void score_loop(double first, double width, double sign, const std::int32_t* piece,
                                 double* z, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    z[i] = sign * (first + width * static_cast<double>(piece[i]) + 0.5 * width * z[i]);
  }
}

}  // namespace

double quantile_at_score(const Law& law, double z) {
  return z <= 0.0 ? law.lower_quantile(std::max(numeric::normal_cdf(z), 1e-300))
                  : law.upper_quantile(std::max(numeric::normal_cdf(-z), 1e-300));
}

ScoreTable::ScoreTable(const Law& law) : law_(law), low_(law.lowest()), high_(law.highest()) {}

void ScoreTable::store(const std::array<double, k_terms>& c, double negligible, std::size_t piece,
                       Terms& terms, Lengths& lengths) {
  std::size_t count = k_terms;
  const double small = negligible * std::max(std::abs(c[0]), std::abs(c[1]));
  // Terms that are 0 change no digit of a sum, so that it does not depend on how many are added.
  while (count > 2 && std::abs(c[count - 1]) <= small && std::isfinite(small)) --count;
  for (std::size_t k = 0; k < k_terms; ++k) {
    terms[k][piece] = k < count ? c[k] : 0.0;
    if (k < count) lengths[k].fetch_or(std::uint64_t{1} << piece, std::memory_order_release);
  }
}

std::size_t ScoreTable::most_terms(const Lengths& lengths, std::uint64_t pieces) {
  std::size_t count = k_terms;
  while (count > 2 && (lengths[count - 1].load(std::memory_order_acquire) & pieces) == 0) --count;
  return count;
}

void ScoreTable::make(std::size_t piece) const {
  std::call_once(made_[piece], [&] {
    const std::array<double, k_terms> c = models::chebyshev_coefficients<double, k_terms>(
        [&](double x) { return quantile_at_score(law_, middle(piece) + 0.5 * k_width * x); });
    store(c, k_negligible, piece, terms_, lengths_);
    ready_.fetch_or(std::uint64_t{1} << piece, std::memory_order_release);
  });
}

void ScoreTable::quantile(std::span<const double> z, double* x) const {
  in_chunks(z.size(), [&](std::size_t from, std::size_t n) {
    std::array<std::int32_t, k_chunk> piece;  // NOLINT: written before it is read
    std::array<double, k_chunk> t;            // NOLINT: the same
    place_loop(z.data() + from, k_farthest, k_width, k_pieces, piece.data(), t.data(), n);
    std::uint64_t seen = 0;
    for (std::size_t i = 0; i < n; ++i) seen |= std::uint64_t{1} << piece[i];
    std::uint64_t asked = seen & ~ready_.load(std::memory_order_acquire);
    for (; asked != 0; asked &= asked - 1) make(static_cast<std::size_t>(std::countr_zero(asked)));
    sum_loop(terms_[0].data(), most_terms(lengths_, seen), k_pieces, piece.data(), t.data(),
             x + from, n);
    for (std::size_t i = from; i < from + n; ++i) x[i] = std::clamp(x[i], low_, high_);
  });
}

void ScoreTable::make_knots() const {
  knots_.fill(std::numeric_limits<double>::infinity());
  for (std::size_t j = 0; j <= k_pieces; ++j) {
    knots_[j] = quantile_at_score(law_, k_width * static_cast<double>(j) - k_farthest);
  }
  const auto length = [this](std::size_t j) { return knots_[j + 1] - knots_[j]; };
  const double spread = quantile_at_score(law_, 1.0) - quantile_at_score(law_, -1.0);
  for (std::size_t j = 0; j < k_pieces; ++j) {
    const double size = std::max({std::abs(knots_[j]), std::abs(knots_[j + 1]), spread});
    if (length(j) > k_shortest_piece * size) {
      long_enough_ |= std::uint64_t{1} << j;
      per_length_[j] = 1.0 / length(j);
    }
    const std::size_t before = j > 0 ? j - 1 : j;
    const std::size_t after = std::min(j + 1, k_pieces - 1);
    const double growth = std::log(length(after) / length(before)) / double(after - before);
    growth_[j] = std::abs(growth) > k_straight && std::isfinite(growth) ? growth : 0.0;
    grown_[j] = std::expm1(growth_[j]);
    per_growth_[j] = growth_[j] == 0.0 ? 0.0 : 1.0 / growth_[j];
  }
}

/// The place on its piece of the score of x, from a guess.
double ScoreTable::newton(double x, std::size_t piece, double t) const {
  for (int step = 0; step < k_newton_steps; ++step) {
    const auto [value, slope] = sum_and_slope(terms_, piece, t);
    const double next = std::clamp(t + (x - value) / slope, -1.0, 1.0);
    const double moved = std::abs(next - t);
    t = next;
    if (moved < 1e-6) break;  // the next step would be its square
  }
  return t;
}

void ScoreTable::make_back(std::size_t piece) const {
  std::call_once(made_back_[piece], [&] {
    require(piece);
    const double length = knots_[piece + 1] - knots_[piece];
    const double growth = growth_[piece];
    const auto back = [&](double t) {
      const double even = 0.5 * (t + 1.0);
      const double along = growth == 0.0 ? even : std::expm1(growth * even) / grown_[piece];
      return newton(knots_[piece] + length * along, piece, t);
    };
    std::array<double, k_terms> c = models::chebyshev_coefficients<double, k_terms>(back);
    for (int between = 0; between < k_looks; ++between) {
      const double t = (2.0 * between + 1.0) / k_looks - 1.0;
      if (std::abs(models::chebyshev_sum(c, t) - back(t)) < k_follows) continue;
      c[0] = std::numeric_limits<double>::quiet_NaN();  // each one by Newton's steps
      not_followed_.fetch_or(std::uint64_t{1} << piece, std::memory_order_release);
      break;
    }
    store(c, k_negligible_back, piece, back_, back_lengths_);
    ready_back_.fetch_or(std::uint64_t{1} << piece, std::memory_order_release);
  });
}

/// Finds the scores chunk by chunk and calls finish(from, z, by_law, asked) for each: by_law(i)
/// says that the law is to be asked for the share at asked[i] in place of z[i].
template <class Finish>
void ScoreTable::look_back(bool above, std::span<const double> x, const Finish& finish) const {
  std::call_once(made_knots_, [this] { make_knots(); });
  in_chunks(x.size(), [&](std::size_t from, std::size_t n) {
    std::array<double, k_chunk> at{};
    std::array<std::int32_t, k_chunk> piece;  // NOLINT: written before it is read
    std::array<double, k_chunk> t;            // NOLINT: the same
    std::array<double, k_chunk> z;            // NOLINT: the same
    std::copy_n(x.begin() + static_cast<std::ptrdiff_t>(from), n, at.begin());
    count_loop(knots_.data(), at.data(), piece.data(), n);
    // 0: below all knots, k_pieces + 1: above, where the law itself is asked as on a short piece.
    std::uint64_t seen = 0;
    for (std::size_t i = 0; i < n; ++i) seen |= std::uint64_t{1} << piece[i];
    std::uint64_t wanted =
        (seen >> 1U) & long_enough_ & ~ready_back_.load(std::memory_order_acquire);
    for (; wanted != 0; wanted &= wanted - 1) {
      make_back(static_cast<std::size_t>(std::countr_zero(wanted)));
    }
    along_loop(knots_.data(), per_length_.data(), grown_.data(), k_pieces, at.data(), piece.data(),
               t.data(), z.data(), n);
    numeric::log({z.data(), n}, z);
    back_loop(per_growth_.data(), piece.data(), z.data(), t.data(), n);
    std::uint64_t on = 0;
    for (std::size_t i = 0; i < n; ++i) on |= std::uint64_t{1} << piece[i];
    sum_loop(back_[0].data(), most_terms(back_lengths_, on), k_pieces, piece.data(), t.data(),
             z.data(), n);
    score_loop(middle(0), k_width, above ? -1.0 : 1.0, piece.data(), z.data(), n);
    const bool by_newton = (seen >> 1U & not_followed_.load(std::memory_order_acquire)) != 0;
    for (std::size_t i = 0; by_newton && i < n; ++i) {
      if (!std::isnan(z[i])) continue;
      const auto number = static_cast<std::size_t>(piece[i]);
      z[i] = (above ? -1.0 : 1.0) * (middle(number) + 0.5 * k_width * newton(at[i], number, t[i]));
    }
    finish(from, std::span<const double>(z.data(), n));
    if ((seen & ~(long_enough_ << 1U)) == 0) return;
    for (std::size_t i = 0; i < n; ++i) {
      const double one = at[i];
      const bool inside = one >= knots_[0] && one < knots_[k_pieces];
      if (!inside || (long_enough_ >> piece[i] & 1U) == 0) finish(from + i, one);
    }
  });
}

namespace {

/// What is to be told of scores, and of what lies beside the table.
template <class OfScores, class OfLaw>
class Finishing {
 public:
  Finishing(OfScores of_scores, OfLaw of_law) : of_scores_(of_scores), of_law_(of_law) {}
  void operator()(std::size_t from, std::span<const double> z) const { of_scores_(from, z); }
  void operator()(std::size_t i, double x) const { of_law_(i, x); }

 private:
  OfScores of_scores_;
  OfLaw of_law_;
};

}  // namespace

void ScoreTable::shares(bool above, std::span<const double> x, std::span<double> share) const {
  look_back(above, x,
            Finishing(
                [&](std::size_t from, std::span<const double> z) {
                  numeric::normal_cdf(z, share.subspan(from, z.size()));
                },
                [&](std::size_t i, double one) {
                  share[i] = above ? law_.upper(one) : law_.lower(one);
                }));
}

void ScoreTable::scores(bool above, std::span<const double> x, std::span<double> z) const {
  look_back(above, x,
            Finishing(
                [&](std::size_t from, std::span<const double> found) {
                  std::copy(found.begin(), found.end(),
                            z.begin() + static_cast<std::ptrdiff_t>(from));
                },
                [&](std::size_t i, double one) {
                  const double low = law_.lower(one);
                  const double high = law_.upper(one);
                  const double nearer = std::max(std::min(low, high), 1e-300);
                  const double of_low = score_of(low, high, numeric::normal_quantile(nearer));
                  z[i] = above ? -of_low : of_low;
                }));
}

}  // namespace blendrisk::distributions
