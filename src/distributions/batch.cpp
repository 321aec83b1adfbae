#include <algorithm>
#include <array>
#include <cstddef>

#include "distributions/laws.hpp"
#include "models/clones.hpp"
#include "numeric/arrays.hpp"

namespace blendrisk::distributions {
namespace {

constexpr std::size_t kChunk = 512;
using Buffer = std::array<double, kChunk>;

// The loops that every plain case goes through.
BLENDRISK_CLONES void scale_loop(double* x, double shift, double scale, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) x[i] = shift + scale * x[i];
}

BLENDRISK_CLONES void between_loop(const double* u, double low, double high, double* x,
                                   std::size_t n) {
  const double width = high - low;
  for (std::size_t i = 0; i < n; ++i) {
    const double inside = low + u[i] * width;
    x[i] = inside < high ? inside : high;
  }
}

BLENDRISK_CLONES void tails_loop(const Truncated& law, double sd, const double* u, double* tail,
                                 double* scale, std::size_t n) {
  const double below = law.below;
  const double above = law.above;
  const double mass = law.mass;
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

/// Calls each(from, count) for pieces of at most kChunk.
template <class Each>
void in_chunks(std::size_t n, const Each& each) {
  for (std::size_t from = 0; from < n; from += kChunk) each(from, std::min(kChunk, n - from));
}

/// P(bound < X <= x)/mass of a law whose bounds are `low` and `high` standard deviations from its
/// mean, at z = (x − mean)/scale; the upper tail is the same with everything mirrored.
struct NormalShare {
  double mean, scale, bound, low, high, mass;

  void operator()(std::span<const double> x, std::span<double> p) const {
    in_chunks(x.size(), [&](std::size_t from, std::size_t count) {
      chunk(x.subspan(from, count), p.subspan(from, count));
    });
  }

  void chunk(std::span<const double> x, std::span<double> p) const {
    Buffer z;
    Buffer tail;
    const std::size_t n = x.size();
    for (std::size_t i = 0; i < n; ++i) z[i] = std::clamp((x[i] - mean) / scale, low, high);
    // From the tail that is small at the lower bound: rising below the mean, falling above it.
    const double sign = low <= 0.0 ? 1.0 : -1.0;
    for (std::size_t i = 0; i < n; ++i) tail[i] = sign * z[i];
    numeric::normal_cdf({tail.data(), n}, {tail.data(), n});
    const double at_low = numeric::normal_cdf(sign * low);
    for (std::size_t i = 0; i < n; ++i) {
      const double inside = sign * (tail[i] - at_low);
      const double larger = std::max(tail[i], at_low);
      // Two tails rounded to 5e-16 lose more than 1e-13 of a difference a hundred times smaller.
      const bool lost = inside < 1e-2 * larger;
      const double kept =
          lost ? numeric::normal_interval(low, z[i], (x[i] - bound) / scale) : inside;
      p[i] = z[i] >= high ? 1.0 : std::clamp(kept / mass, 0.0, 1.0);
    }
  }
};

void normal_tail(const Normal& law, double scale, std::span<const double> x, std::span<double> p) {
  in_chunks(x.size(), [&](std::size_t from, std::size_t n) {
    Buffer z;
    for (std::size_t i = 0; i < n; ++i) z[i] = (x[from + i] - law.mean) / scale;
    numeric::normal_cdf({z.data(), n}, p.subspan(from, n));
  });
}

void below(const Normal& law, std::span<const double> x, std::span<double> p) {
  normal_tail(law, law.sd, x, p);
}

void above(const Normal& law, std::span<const double> x, std::span<double> q) {
  normal_tail(law, -law.sd, x, q);
}

void inverse(const Normal& law, std::span<const double> u, std::span<double> x) {
  numeric::normal_quantile(u, x);
  scale_loop(x.data(), law.mean, law.sd, u.size());
}

// As in laws, but without a call for each case.
void below(const Uniform& law, std::span<const double> x, std::span<double> p) {
  const double width = law.high - law.low;
  for (std::size_t i = 0; i < x.size(); ++i) p[i] = std::clamp((x[i] - law.low) / width, 0.0, 1.0);
}

void above(const Uniform& law, std::span<const double> x, std::span<double> q) {
  const double width = law.high - law.low;
  for (std::size_t i = 0; i < x.size(); ++i) q[i] = std::clamp((law.high - x[i]) / width, 0.0, 1.0);
}

void inverse(const Uniform& law, std::span<const double> u, std::span<double> x) {
  between_loop(u.data(), law.low, law.high, x.data(), u.size());
}

/// Each lane from the smaller of the two base tails.
void normal_inverse(const Normal& base, const Truncated& law, std::span<const double> u,
                    std::span<double> x) {
  in_chunks(u.size(), [&](std::size_t from, std::size_t n) {
    Buffer tail;
    Buffer scale;
    tails_loop(law, base.sd, u.data() + from, tail.data(), scale.data(), n);
    numeric::normal_quantile({tail.data(), n}, {tail.data(), n});
    window_loop(tail.data(), scale.data(), base.mean, law.low, law.high, x.data() + from, n);
  });
}

template <class Law>
void below(const Law& law, std::span<const double> x, std::span<double> p) {
  for (std::size_t i = 0; i < x.size(); ++i) p[i] = laws::lower_below(law, x[i]);
}

template <class Law>
void above(const Law& law, std::span<const double> x, std::span<double> q) {
  for (std::size_t i = 0; i < x.size(); ++i) q[i] = laws::upper(law, x[i]);
}

template <class Law>
void inverse(const Law& law, std::span<const double> u, std::span<double> x) {
  for (std::size_t i = 0; i < u.size(); ++i) x[i] = laws::lower_quantile(law, u[i]);
}

void below(const laws::TruncatedPtr& law, std::span<const double> x, std::span<double> p) {
  if (const auto* base = std::get_if<Normal>(&law->base.law())) {
    const double low = (law->low - base->mean) / base->sd;
    const double high = (law->high - base->mean) / base->sd;
    NormalShare{base->mean, base->sd, law->low, low, high, law->mass}(x, p);
    return;
  }
  for (std::size_t i = 0; i < x.size(); ++i) p[i] = laws::lower(law, x[i]);
}

void above(const laws::TruncatedPtr& law, std::span<const double> x, std::span<double> q) {
  if (const auto* base = std::get_if<Normal>(&law->base.law())) {
    const double low = (base->mean - law->high) / base->sd;
    const double high = (base->mean - law->low) / base->sd;
    NormalShare{base->mean, -base->sd, law->high, low, high, law->mass}(x, q);
    return;
  }
  for (std::size_t i = 0; i < x.size(); ++i) q[i] = laws::upper(law, x[i]);
}

void inverse(const laws::TruncatedPtr& law, std::span<const double> u, std::span<double> x) {
  if (const auto* base = std::get_if<Normal>(&law->base.law())) {
    normal_inverse(*base, *law, u, x);
    return;
  }
  for (std::size_t i = 0; i < u.size(); ++i) x[i] = laws::lower_quantile(law, u[i]);
}

}  // namespace

void cdf_below(const Distribution& d, std::span<const double> x, std::span<double> p) {
  std::visit([&](const auto& law) { below(law, x, p); }, d.law());
}

void complement(const Distribution& d, std::span<const double> x, std::span<double> q) {
  std::visit([&](const auto& law) { above(law, x, q); }, d.law());
}

void quantile(const Distribution& d, std::span<const double> u, std::span<double> x) {
  std::visit([&](const auto& law) { inverse(law, u, x); }, d.law());
}

}  // namespace blendrisk::distributions
