#include "distributions/law.hpp"

#include <array>
#include <cmath>
#include <string>

#include "numeric/vector_math.hpp"
#include "text/error.hpp"

namespace blendrisk::distributions {
namespace {

constexpr double k_smallest = 1e-300;

/// The share that is the smaller of the two, to be looked up.
void nearer_loop(const double* share, const double* rest, double* nearer, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    nearer[i] = std::max(std::min(share[i], rest[i]), k_smallest);
  }
}

void signed_loop(const double* share, const double* rest, const double* score, double* z,
                 std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    z[i] = score_of(share[i], rest[i], score[i]);
  }
}

}  // namespace

Distribution::Distribution() {
  static const Distribution nothing = exact(0.0);
  *this = nothing;
}

Distribution truncated(const Distribution& base, double low, double high) {
  require(std::isfinite(low) && std::isfinite(high), "the window's bounds must be finite numbers");
  require(low < high, "the window's low bound must be below its high bound");
  return base.law().cut(low, high);
}

/// A few are not worth the table.
bool Law::by_table(std::size_t count) const {
  return traits().searched && count >= 8;
}

void Law::fill_below(Values x, std::span<double> p) const {
  if (by_table(x.size())) return scores().shares(false, x, p);
  for (std::size_t i = 0; i < x.size(); ++i) p[i] = lower_below(x[i]);
}

void Law::fill_above(Values x, std::span<double> q) const {
  if (by_table(x.size())) return scores().shares(true, x, q);
  for (std::size_t i = 0; i < x.size(); ++i) q[i] = upper(x[i]);
}

void Law::fill_quantile(Values u, std::span<double> x) const {
  if (by_table(u.size())) {
    numeric::normal_quantile(u, x);
    return scores().quantile(x.first(u.size()), x.data());
  }
  for (std::size_t i = 0; i < u.size(); ++i) x[i] = lower_quantile(u[i]);
}

void Law::fill_at_scores(Values z, double* x) const {
  if (traits().searched) return scores().quantile(z, x);
  in_chunks(z.size(), [&](std::size_t from, std::size_t n) {
    std::array<double, k_chunk> u;  // NOLINT: written before it is read
    numeric::normal_cdf(z.subspan(from, n), u);
    for (std::size_t i = 0; i < n; ++i) u[i] = std::clamp(u[i], k_smallest, 1.0 - 0x1p-53);
    // A far upper tail that has no end keeps its digits from its own side.
    std::array<double, k_chunk> far;  // NOLINT: the same
    std::copy_n(z.begin() + static_cast<std::ptrdiff_t>(from), n, far.begin());
    fill_quantile({u.data(), n}, {x + from, n});
    for (std::size_t i = 0; i < n && std::isinf(highest()); ++i) {
      if (far[i] > 3.0)
        x[from + i] = upper_quantile(std::max(numeric::normal_cdf(-far[i]), k_smallest));
    }
  });
}

void Law::fill_score(bool above, Values x, std::span<double> z) const {
  if (by_table(x.size())) return scores().scores(above, x, z);
  in_chunks(x.size(), [&](std::size_t from, std::size_t n) {
    std::array<double, k_chunk> share;  // NOLINT: written before they are read, all three
    std::array<double, k_chunk> rest;
    std::array<double, k_chunk> nearer;
    // P(X >= x) is P(X > the number before x), P(X <= x) is P(X < the one after it).
    for (std::size_t i = 0; i < n; ++i) {
      nearer[i] = std::nextafter(x[from + i], above ? k_infinity : -k_infinity);
    }
    const Values at = x.subspan(from, n);
    above ? fill_above(at, {share.data(), n}) : fill_below(at, {share.data(), n});
    const Values beside(nearer.data(), n);
    above ? fill_below(beside, {rest.data(), n}) : fill_above(beside, {rest.data(), n});
    nearer_loop(share.data(), rest.data(), nearer.data(), n);
    numeric::normal_quantile({nearer.data(), n}, {nearer.data(), n});
    signed_loop(share.data(), rest.data(), nearer.data(), z.data() + from, n);
  });
}

const ScoreTable& Law::scores() const {
  std::call_once(made_, [this] { table_.emplace(*this); });
  return *table_;
}

void require_finite(std::initializer_list<double> values, const char* law) {
  for (const double value : values) {
    if (std::isfinite(value)) continue;
    throw text::Error(std::string(law) + ": every parameter must be a finite number");
  }
}

void require(bool holds, const char* wrong) {
  if (!holds) throw text::Error(wrong);
}

void require_width(double low, double high, const char* law) {
  require_finite({low, high}, law);
  const std::string name(law);
  require(low < high, (name + ": low must be below high").c_str());
  require(std::isfinite(high - low), (name + ": the bounds are too far apart").c_str());
}

}  // namespace blendrisk::distributions
