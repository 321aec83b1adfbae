#include "numeric/vector_math.hpp"

#include <algorithm>
#include <array>
#include <boost/math/quadrature/gauss.hpp>
#include <cmath>
#include <numbers>

#include "numeric/simd_math.hpp"

namespace blendrisk::numeric {
namespace {

constexpr std::size_t k_chunk = 512;
constexpr double k_smallest = 1e-300;
constexpr double k_largest = 1.0 - 0x1p-53;

BLENDRISK_CLONES void cdf_loop(const double* z, double* p, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) p[i] = lanes::normal_cdf(z[i]);
}

BLENDRISK_CLONES void exp_loop(const double* x, double* y, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double low = x[i] > -745.0 ? x[i] : -745.0;
    y[i] = lanes::exp(low < 709.0 ? low : 709.0);
  }
}

BLENDRISK_CLONES void log_loop(const double* x, double* y, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) y[i] = lanes::log(x[i]);
}

// The copy leaves z free to be u itself. in_tail[i] is 1 where the central formula does not hold.
BLENDRISK_CLONES void central_loop(const double* u, double* copy, std::uint32_t* in_tail, double* z,
                                   std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) copy[i] = u[i];
  for (std::size_t i = 0; i < n; ++i) {
    const double q = copy[i] - 0.5;
    in_tail[i] = (q < 0.0 ? -q : q) > 0.425 ? 1U : 0U;
    z[i] = lanes::normal_quantile_central(q);
  }
}

// r[i] = sqrt(-ln p[i]) and the quantile's size for r <= 5.
BLENDRISK_CLONES void tail_loop(const double* p, double* r, double* size, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    r[i] = __builtin_sqrt(-lanes::log(p[i]));
    size[i] = lanes::normal_quantile_tail(r[i]);
  }
}

// One chunk: the central formula for all, then the tails (15 % of uniform input) gathered,
// computed together and put back.
void quantile_chunk(const double* u, double* z, std::size_t n) {
  std::array<double, k_chunk> input;  // NOLINT: written before they are read, all six
  std::array<double, k_chunk> p;
  std::array<double, k_chunk> r;
  std::array<double, k_chunk> size;
  std::array<std::uint32_t, k_chunk> where;
  std::array<std::uint32_t, k_chunk> in_tail;
  central_loop(u, input.data(), in_tail.data(), z, n);
  std::size_t tails = 0;
  for (std::size_t i = 0; i < n; ++i) {
    where[tails] = static_cast<std::uint32_t>(i);
    tails += in_tail[i];
  }
  for (std::size_t k = 0; k < tails; ++k) {
    const double held = std::clamp(input[where[k]], k_smallest, k_largest);
    p[k] = std::min(held, 1.0 - held);
  }
  tail_loop(p.data(), r.data(), size.data(), tails);
  for (std::size_t k = 0; k < tails; ++k) {
    const double far = r[k] > 5.0 ? lanes::normal_quantile_far_tail(r[k]) : size[k];
    z[where[k]] = input[where[k]] < 0.5 ? -far : far;
  }
}

}  // namespace

// The square's rounding error is put back, since it would be magnified by z^2/2.
double normal_density(double z) {
  if (!(std::abs(z) < 40.0)) return 0.0;
  const double square = z * z;
  const double rest = std::fma(z, z, -square);
  return std::exp(-0.5 * square) * (1.0 - 0.5 * rest) * 0.5 * std::numbers::inv_sqrtpi *
         std::numbers::sqrt2;
}

void normal_cdf(std::span<const double> z, std::span<double> p) {
  cdf_loop(z.data(), p.data(), z.size());
}

void normal_quantile(std::span<const double> u, std::span<double> z) {
  for (std::size_t from = 0; from < u.size(); from += k_chunk) {
    quantile_chunk(u.data() + from, z.data() + from, std::min(k_chunk, u.size() - from));
  }
}

void exp(std::span<const double> x, std::span<double> y) {
  exp_loop(x.data(), y.data(), x.size());
}

void log(std::span<const double> x, std::span<double> y) {
  log_loop(x.data(), y.data(), x.size());
}

// Through the loop, for the clone that arrays go through: both then round alike.
double normal_cdf(double z) {
  double p = 0.0;
  cdf_loop(&z, &p, 1);
  return p;
}

double normal_quantile(double u) {
  double z = 0.0;
  quantile_chunk(&u, &z, 1);
  return z;
}

double normal_interval(double a, double b) {
  return normal_interval(a, b, b - a);
}

double normal_interval(double a, double b, double width) {
  if (!(width > 0.0)) return 0.0;
  // A density varies by about e^(|a| h) over h: 20 nodes are exact to rounding below |a| h = 4, 7
  // below 1/4. From a, which is exact; the middle of the interval would be rounded.
  const double steepness = width * std::max({std::abs(a), std::abs(b), 1.0});
  const auto fall = [a](double t) { return std::exp(-t * (a + 0.5 * t)); };  // density over a's
  if (steepness < 0.25) {
    return normal_density(a) *
           boost::math::quadrature::gauss<double, 7>::integrate(fall, 0.0, width);
  }
  if (steepness < 4.0 && width < 0.5) {
    return normal_density(a) *
           boost::math::quadrature::gauss<double, 20>::integrate(fall, 0.0, width);
  }
  if (a > 0.0) return normal_cdf(-a) - normal_cdf(-b);
  if (b > 0.0) return 1.0 - normal_cdf(a) - normal_cdf(-b);
  return normal_cdf(b) - normal_cdf(a);
}

double sum(std::span<const double> x) {
  std::array<double, 4> part{};
  std::size_t i = 0;
  for (; i + 4 <= x.size(); i += 4) {
    for (std::size_t k = 0; k < 4; ++k) part[k] += x[i + k];
  }
  for (; i < x.size(); ++i) part[0] += x[i];
  return (part[0] + part[1]) + (part[2] + part[3]);
}

}  // namespace blendrisk::numeric
