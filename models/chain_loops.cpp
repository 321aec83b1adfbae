#include "models/chain_loops.hpp"

#include "numeric/simd_math.hpp"
#include "numeric/target_clones.hpp"

namespace blendrisk::models::loops {
namespace {

/// More than any bracket, and a volume that has passed whose products are still numbers.
constexpr double k_unbounded = 1e308, k_far = 1e150;

BLENDRISK_LANE double larger_of(double a, double b) {
  return a > b ? a : b;
}
BLENDRISK_LANE double smaller_of(double a, double b) {
  return a < b ? a : b;
}
/// e^{−x}, 1 for x < 0, 0 where it is next to nothing.
BLENDRISK_LANE double fall(double x) {
  const double e = numeric::lanes::exp(-smaller_of(larger_of(x, 0.0), 700.0));
  return x < 700.0 ? e : 0.0;
}

/// A volume whose square is a number; 0 where it is too small for one.
BLENDRISK_LANE double some(double v) {
  return v > 1e-100 ? v : 0.0;
}

BLENDRISK_LANE double weight_of(double v, double other, double third) {
  const double apart = v > 0.0 ? (v - other) * (v - third) : 1.0;
  return v * v / apart;
}

/// What one volume adds to what remains.
BLENDRISK_LANE double kept(double weight, double rate, double at_pipe, double past, double square,
                           double h) {
  return weight * (square * h - fall(past * rate) * at_pipe);
}

}  // namespace

BLENDRISK_CLONES bool stirred_parts(const double* const* stirred, double* const* weight,
                                    double* const* rate, std::size_t n) {
  constexpr double apart = 2e-6;
  constexpr double most = 1e6;
  const double* a = stirred[0];
  const double* b = stirred[1];
  const double* c = stirred[2];
  double* __restrict w0 = weight[0];
  double* __restrict w1 = weight[1];
  double* __restrict w2 = weight[2];
  double* __restrict r0 = rate[0];
  double* __restrict r1 = rate[1];
  double* __restrict r2 = rate[2];
  double within = 1.0;
  for (std::size_t i = 0; i < n; ++i) {
    const double high = larger_of(a[i], b[i]);
    const double low = smaller_of(a[i], b[i]);
    const double middle = smaller_of(high, c[i]);
    double v0 = some(larger_of(high, c[i]));
    double v1 = some(larger_of(low, middle));
    double v2 = some(smaller_of(low, middle));
    const double sum = v0 + v1;
    const bool close = smaller_of(v1, 2.0 * apart * sum - (v0 - v1)) > 0.0;
    v0 = close ? sum * (0.5 + apart) : v0;
    v1 = close ? sum * (0.5 - apart) : v1;
    const double next = v1 + v2;
    const bool closer = smaller_of(v2, 2.0 * apart * next - (v1 - v2)) > 0.0;
    v1 = closer ? next * (0.5 + apart) : v1;
    v2 = closer ? next * (0.5 - apart) : v2;
    w0[i] = weight_of(v0, v1, v2);
    w1[i] = weight_of(v1, v0, v2);
    w2[i] = weight_of(v2, v0, v1);
    r0[i] = v0 > 0.0 ? 1.0 / v0 : 0.0;
    r1[i] = v1 > 0.0 ? 1.0 / v1 : 0.0;
    r2[i] = v2 > 0.0 ? 1.0 / v2 : 0.0;
    // Either way round they are compared, a NaN is too large.
    within = larger_of(w0[i], -w0[i]) < most ? within : 0.0;
    within = larger_of(w1[i], -w1[i]) < most ? within : 0.0;
    within = larger_of(w2[i], -w2[i]) < most ? within : 0.0;
  }
  return within == 0.0;
}

BLENDRISK_CLONES void places(const double* factor, const double* rate, double* y, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) y[i] = smaller_of(factor[i], k_far) * rate[i];
}

BLENDRISK_CLONES void ratios(const double* q, const double* begin, double* square, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double ratio = begin[i] > 0.0 ? begin[i] / q[i] : 0.0;
    square[i] = ratio * ratio;
  }
}

BLENDRISK_CLONES void add_volume(bool first, const double* __restrict weight,
                                 const double* __restrict rate, const double* __restrict at_pipe,
                                 const double* __restrict begin, const double* __restrict q,
                                 const double* __restrict square, const double* __restrict h,
                                 double* __restrict left, std::size_t n) {
  if (first) {
    for (std::size_t i = 0; i < n; ++i) {
      const double past = smaller_of(q[i], k_far) - begin[i];
      left[i] = kept(weight[i], rate[i], at_pipe[i], past, square[i], h[i]);
    }
    return;
  }
  for (std::size_t i = 0; i < n; ++i) {
    const double past = smaller_of(q[i], k_far) - begin[i];
    left[i] += kept(weight[i], rate[i], at_pipe[i], past, square[i], h[i]);
  }
}

BLENDRISK_CLONES void add_moving_volume(
    bool first, const double* __restrict weight, const double* __restrict rate,
    const double* __restrict at_pipe, const double* __restrict begin, const double* __restrict q,
    const double* __restrict square, const double* __restrict h, double* __restrict left,
    double* __restrict slope, double* __restrict bend, double* __restrict rates, std::size_t n) {
  if (first) {
    for (std::size_t i = 0; i < n; ++i) {
      const double part = kept(weight[i], rate[i], at_pipe[i], q[i] - begin[i], square[i], h[i]);
      left[i] = part;
      slope[i] = -rate[i] * part;
      bend[i] = rate[i] * rate[i] * part;
      rates[i] = weight[i] * rate[i];
    }
    return;
  }
  for (std::size_t i = 0; i < n; ++i) {
    const double part = kept(weight[i], rate[i], at_pipe[i], q[i] - begin[i], square[i], h[i]);
    left[i] += part;
    slope[i] -= rate[i] * part;
    bend[i] += rate[i] * rate[i] * part;
    rates[i] += weight[i] * rate[i];
  }
}

BLENDRISK_CLONES void add_moving_pipe(const double* __restrict square, const double* __restrict q,
                                      const double* __restrict rates, double* __restrict left,
                                      double* __restrict bend, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    left[i] += square[i];
    bend[i] -= 2.0 * square[i] / q[i] * rates[i];
  }
}

BLENDRISK_CLONES void shares(const double* left, const double* square, const double* q,
                             const double* begin, const double* rate, double* f, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double share = smaller_of(larger_of(1.0 - (square[i] + left[i]), 0.0), 1.0);
    // Without any stirred volume the law jumps where it begins.
    const bool begun = q[i] > begin[i] || (q[i] >= begin[i] && rate[i] == 0.0);
    f[i] = begun ? share : 0.0;
  }
}

BLENDRISK_CLONES void start(const double* __restrict begin, double* __restrict wanted,
                            double* __restrict q, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double log = numeric::lanes::log(wanted[i]);
    wanted[i] = log;
    q[i] = begin[i] + q[i] * (0.27 - 0.73 * log);
  }
}

BLENDRISK_CLONES void step(const double* __restrict wanted, const double* __restrict begin,
                           const double* __restrict left, const double* __restrict slope,
                           const double* __restrict bend, double* __restrict low,
                           double* __restrict high, double* __restrict q, double* __restrict done,
                           std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double off = numeric::lanes::log(larger_of(left[i], 1e-300)) - wanted[i];
    const double from = off > 0.0 ? q[i] : low[i];
    const double to = off > 0.0 ? high[i] : q[i];
    low[i] = from;
    high[i] = to;
    const double falls = slope[i] / left[i];
    const double newton = -off / falls;
    const double bends = bend[i] / left[i] - falls * falls;
    const double next = q[i] + newton / larger_of(1.0 + 0.5 * newton * bends / falls, 0.5);
    const double moved = larger_of(next - q[i], q[i] - next);
    // What is off after a step goes with its cube, on the scale of what has passed from the begin
    // or on that of the fall, whichever is shorter.
    const double near = smaller_of(larger_of(1e-4 * (q[i] - begin[i]), 1e-11 * q[i]) - moved,
                                   1e-3 - larger_of(off, -off));
    const double inside = smaller_of(next - from, to - next);
    const double closed = 1e-10 * from - (to - from);
    const bool ends = larger_of(smaller_of(near, inside), closed) >= 0.0;
    const double half = to < k_unbounded ? 0.5 * (from + to) : 2.0 * q[i];
    const double otherwise = ends ? q[i] : half;
    q[i] = inside > 0.0 ? next : otherwise;
    done[i] = ends ? 1.0 : 0.0;
  }
}

}  // namespace blendrisk::models::loops
