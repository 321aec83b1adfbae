#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>

#include "distributions/families.hpp"
#include "distributions/form.hpp"
#include "distributions/law.hpp"
#include "numeric/target_clones.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::distributions {
namespace {

using Buffer = std::array<double, k_chunk>;

// The loops that every case of a normal law goes through.
BLENDRISK_CLONES void scale_loop(double* x, double shift, double scale, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) x[i] = shift + scale * x[i];
}

BLENDRISK_CLONES void tails_loop(const Window& window, double sd, const double* u, double* tail,
                                 double* scale, std::size_t n) {
  const double below = window.below;
  const double above = window.above;
  const double mass = window.mass;
  for (std::size_t i = 0; i < n; ++i) {
    const double under = below + u[i] * mass;
    const double over = above + (1.0 - u[i]) * mass;
    tail[i] = under <= over ? under : over;
    scale[i] = under <= over ? sd : -sd;
  }
}

BLENDRISK_CLONES void window_loop(const double* z, const double* scale, double mean, double low,
                                  double high, double* x, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double value = mean + scale[i] * z[i];
    const double risen = value < low ? low : value;
    x[i] = high < risen ? high : risen;
  }
}

/// P(bound < X <= x)/mass of a law whose bounds are `low` and `high` standard deviations from its
/// mean, at z = (x − mean)/scale; the upper tail is the same with everything mirrored.
struct NormalShare {
  double mean, scale, bound, low, high, mass;

  void operator()(Values x, std::span<double> p) const;
};

// z and the tail that is small at the lower bound: rising below the mean, falling above it.
BLENDRISK_CLONES void scores_loop(const NormalShare& of, double sign, const double* x, double* z,
                                  double* tail, std::size_t n) {
  const double mean = of.mean;
  const double scale = of.scale;
  const double low = of.low;
  const double high = of.high;
  for (std::size_t i = 0; i < n; ++i) {
    const double score = (x[i] - mean) / scale;
    const double risen = score < low ? low : score;
    z[i] = high < risen ? high : risen;
    tail[i] = sign * z[i];
  }
}

// Shares from the tails, in their place. Two tails rounded to 5e-16 lose more than 1e-13 of a
// difference a hundred times smaller: -1 there. @return how many of those there are
BLENDRISK_CLONES std::uint64_t shares_loop(const NormalShare& of, double sign, double at_low,
                                           const double* z, double* tail, std::size_t n) {
  const double high = of.high;
  const double mass = of.mass;
  std::uint64_t all = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double inside = sign * (tail[i] - at_low);
    const double larger = tail[i] < at_low ? at_low : tail[i];
    const double share = inside / mass < 1.0 ? inside / mass : 1.0;
    const bool beyond = z[i] >= high;
    const bool lost = !beyond && inside < 1e-2 * larger;
    tail[i] = beyond ? 1.0 : lost ? -1.0 : share;
    all += lost ? 1U : 0U;
  }
  return all;
}

void NormalShare::operator()(Values x, std::span<double> p) const {
  Buffer z;
  Buffer tail;
  const std::size_t n = x.size();
  const double sign = low <= 0.0 ? 1.0 : -1.0;
  scores_loop(*this, sign, x.data(), z.data(), tail.data(), n);
  numeric::normal_cdf({tail.data(), n}, {tail.data(), n});
  if (shares_loop(*this, sign, numeric::normal_cdf(sign * low), z.data(), tail.data(), n) > 0) {
    for (std::size_t i = 0; i < n; ++i) {
      if (tail[i] >= 0.0) continue;
      const double kept = numeric::normal_interval(low, z[i], (x[i] - bound) / scale);
      tail[i] = std::clamp(kept / mass, 0.0, 1.0);
    }
  }
  std::copy_n(tail.data(), n, p.data());
}

class Normal final : public Continuous {
 public:
  Normal(double mean, double sd) : mean_(mean), sd_(sd) {}
  double lower(double x) const override { return numeric::normal_cdf(score(x)); }
  double upper(double x) const override { return numeric::normal_cdf((mean_ - x) / sd_); }
  double lower_quantile(double p) const override {
    return mean_ + sd_ * numeric::normal_quantile(p);
  }
  double upper_quantile(double q) const override {
    return mean_ - sd_ * numeric::normal_quantile(q);
  }
  double interval(double a, double b) const override {
    return numeric::normal_interval(score(a), score(b), (b - a) / sd_);
  }
  double from_low(const Window& window, double x) const override { return interval(window.low, x); }
  double to_high(const Window& window, double x) const override { return interval(x, window.high); }
  double density(double x) const override { return numeric::normal_density(score(x)) / sd_; }
  double average() const override { return mean_; }
  Traits traits() const override {
    return {.normal = true, .log_concave = true, .bell_shaped = true};
  }
  Distribution shifted(double by) const override { return normal(mean_ + by, sd_); }

  void fill_below(Values x, std::span<double> p) const override { tail(sd_, x, p); }
  void fill_above(Values x, std::span<double> q) const override { tail(-sd_, x, q); }
  void fill_quantile(Values u, std::span<double> x) const override {
    numeric::normal_quantile(u, x);
    scale_loop(x.data(), mean_, sd_, u.size());
  }
  void fill_at_scores(Values z, double* x) const override {
    for (std::size_t i = 0; i < z.size(); ++i) x[i] = mean_ + sd_ * z[i];
  }
  void fill_score(bool above, Values x, std::span<double> z) const override {
    const double scale = above ? -sd_ : sd_;
    for (std::size_t i = 0; i < x.size(); ++i) z[i] = (x[i] - mean_) / scale;
  }

  /// mean + sd (φ(a) − φ(b))/mass, the difference through expm1.
  double average_in(const Window& window) const override {
    const double a = score(window.low);
    const double b = score(window.high);
    const double half = 0.5 * (b - a) * (b + a);  // ln φ(a) − ln φ(b)
    const double nearer = std::abs(a) < std::abs(b) ? a : b;
    const double sign = half > 0.0 ? 1.0 : -1.0;
    const double difference = -sign * std::exp(-0.5 * nearer * nearer) *
                              std::expm1(-std::abs(half)) * std::numbers::inv_sqrtpi /
                              std::numbers::sqrt2;
    return mean_ + sd_ * (difference / window.mass);
  }
  void fill_below_in(const Window& window, Values x, std::span<double> p) const override {
    const NormalShare share{mean_,      sd_, window.low, score(window.low), score(window.high),
                            window.mass};
    in_chunks(x.size(), [&](std::size_t from, std::size_t n) {
      share(x.subspan(from, n), p.subspan(from, n));
    });
  }
  void fill_above_in(const Window& window, Values x, std::span<double> q) const override {
    const NormalShare share{mean_,      -sd_, window.high, -score(window.high), -score(window.low),
                            window.mass};
    in_chunks(x.size(), [&](std::size_t from, std::size_t n) {
      share(x.subspan(from, n), q.subspan(from, n));
    });
  }
  /// Each lane from the smaller of the two tails.
  void fill_quantile_in(const Window& window, Values u, std::span<double> x) const override {
    in_chunks(u.size(), [&](std::size_t from, std::size_t n) {
      Buffer tail;
      Buffer scale;
      tails_loop(window, sd_, u.data() + from, tail.data(), scale.data(), n);
      numeric::normal_quantile({tail.data(), n}, {tail.data(), n});
      window_loop(tail.data(), scale.data(), mean_, window.low, window.high, x.data() + from, n);
    });
  }

 private:
  double score(double x) const { return (x - mean_) / sd_; }

  void tail(double scale, Values x, std::span<double> p) const {
    in_chunks(x.size(), [&](std::size_t from, std::size_t n) {
      Buffer z;
      for (std::size_t i = 0; i < n; ++i) z[i] = (x[from + i] - mean_) / scale;
      numeric::normal_cdf({z.data(), n}, p.subspan(from, n));
    });
  }

  double mean_, sd_;
};

}  // namespace

Distribution normal(double mean, double sd) {
  require_finite({mean, sd}, "normal");
  require(sd > 0.0, "normal: the standard deviation must be above 0");
  return make<Normal>(mean, sd);
}

const Form normal_form{"normal(mean, sd)", "bell-shaped, with its standard deviation", "pw",
                       [](Values v) { return normal(v[0], v[1]); }};

}  // namespace blendrisk::distributions
