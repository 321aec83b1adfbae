#include "models/transit.hpp"

#include <algorithm>
#include <cmath>

namespace blendrisk::models {
namespace {

/// (e^a − e^b)/(a − b) = e^m sinh(h)/h, m the middle and h half the distance.
double exp_difference(double a, double b) {
  const double half = 0.5 * (a - b);
  const double middle = 0.5 * (a + b);
  if (std::abs(half) < 1e-4) return std::exp(middle) * (1.0 + half * half / 6.0);
  if (std::abs(half) < 1.0) return std::exp(middle) * std::sinh(half) / half;
  return (std::exp(a) - std::exp(b)) / (a - b);  // no cancellation
}

/// Second divided difference. Close arguments by the series e^c Σ h_n(a − c, b − c)/(n + 2)!, h_n
/// the sum of all products of degree n; others by its definition.
double exp_difference(double a, double b, double c) {
  std::array<double, 3> x{a, b, c};
  std::sort(x.begin(), x.end());
  const double spread = x[2] - x[0];
  if (spread > 1.0) {
    return (exp_difference(x[2], x[1]) - exp_difference(x[1], x[0])) / spread;
  }
  const double p = x[2] - x[0];
  const double q = x[1] - x[0];
  double power = 1.0;     // p^n
  double products = 1.0;  // h_n(p, q)
  double factor = 0.5;    // 1/(n + 2)!
  double sum = 0.0;
  for (int n = 0; n < 20; ++n) {
    sum += products * factor;
    power *= p;
    products = power + q * products;
    factor /= n + 3.0;
  }
  return std::exp(x[0]) * sum;
}

/// Nodes and weights of the ten-point Gauss–Legendre rule on [−1, 1], positive half (Abramowitz and
/// Stegun, table 25.4; recomputed to 20 digits).
constexpr std::array<double, 5> k_nodes{0.14887433898163121088, 0.43339539412924719080,
                                        0.67940956829902440623, 0.86506336668898451073,
                                        0.97390652851717172008};
constexpr std::array<double, 5> k_weights{0.29552422471475287017, 0.26926671930999635509,
                                          0.21908636251598204400, 0.14945134915058059315,
                                          0.06667134430868813759};

/// With r = √(1 − u): ∫ F_stirred(q − V/(2r)) 2r dr over [V/2q, 1]. Panels double in r and in the
/// volume left for the stirred part, from the smallest stirred volume on, so that each holds a
/// smooth piece whatever the volumes are.
class LaminarConvolution {
 public:
  LaminarConvolution(const std::array<double, 3>& stirred_l, double pipe_l, double q_l)
      : stirred_(stirred_l), pipe_(pipe_l), q_(q_l), smallest_(q_l) {
    for (const double v : stirred_l) {
      if (v > 0.0) smallest_ = std::min(smallest_, v);
    }
  }

  double operator()() const {
    const double first = 0.5 * pipe_ / q_;
    double sum = 0.0;
    double left = 0.0;  // for the stirred part
    for (double r = first; r < 1.0;) {
      left = std::max(2.0 * left, 0.5 * smallest_);
      const double by_volume = left < q_ ? 0.5 * pipe_ / (q_ - left) : 1.0;
      const double next = std::min({by_volume > r ? by_volume : 2.0 * r, 2.0 * r, 1.0});
      sum += panel(r, next);
      r = next;
    }
    return sum;
  }

 private:
  double panel(double from, double to) const {
    const double half = 0.5 * (to - from);
    const double middle = 0.5 * (to + from);
    double sum = 0.0;
    for (std::size_t i = 0; i < k_nodes.size(); ++i) {
      sum += k_weights[i] * (at(middle - half * k_nodes[i]) + at(middle + half * k_nodes[i]));
    }
    return half * sum;
  }
  double at(double r) const {
    return 2.0 * r * (1.0 - stirred_remaining(stirred_, q_ - 0.5 * pipe_ / r));
  }

  const std::array<double, 3>& stirred_;
  double pipe_, q_, smallest_;
};

}  // namespace

double stirred_remaining(const std::array<double, 3>& volumes_l, double q_l) {
  std::array<double, 3> v{};
  std::size_t n = 0;
  for (const double volume : volumes_l) {
    if (volume > 0.0) v[n++] = volume;
  }
  if (n == 0) return q_l >= 0.0 ? 0.0 : 1.0;
  if (!(q_l > 0.0)) return 1.0;
  const double a = -q_l / v[0];
  double remaining = std::exp(a);
  if (n > 1) {
    const double b = -q_l / v[1];
    remaining -= a * exp_difference(a, b);
    if (n > 2) remaining += a * b * exp_difference(a, b, -q_l / v[2]);
  }
  return remaining;
}

double residence_cdf(const Chain& chain, double q_l) {
  if (!(q_l >= 0.0)) return 0.0;
  if (std::isinf(q_l)) return 1.0;
  if (!(chain.pipe_l > 0.0)) return 1.0 - stirred_remaining(chain.stirred_l, q_l);
  if (chain.pipe == Pipe::plug) {
    return q_l < chain.pipe_l ? 0.0 : 1.0 - stirred_remaining(chain.stirred_l, q_l - chain.pipe_l);
  }
  if (q_l <= 0.5 * chain.pipe_l) return 0.0;
  const bool stirred =
      std::any_of(chain.stirred_l.begin(), chain.stirred_l.end(), [](double v) { return v > 0.0; });
  const double first = 0.5 * chain.pipe_l / q_l;
  return stirred ? LaminarConvolution(chain.stirred_l, chain.pipe_l, q_l)()
                 : (1.0 - first) * (1.0 + first);
}

double residence_mean(const Chain& chain) {
  return chain.stirred_l[0] + chain.stirred_l[1] + chain.stirred_l[2] + chain.pipe_l;
}

}  // namespace blendrisk::models
