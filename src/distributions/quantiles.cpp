#include <algorithm>
#include <vector>

#include "distributions/families.hpp"
#include "distributions/form.hpp"
#include "distributions/law.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::distributions {
namespace {

/// A straight line in the normal score between neighbouring points, the first and the last carried
/// on: two points make a normal law, and tails beyond the points are normal.
class Quantiles final : public Continuous {
 public:
  /// Both rising; two points at least.
  Quantiles(std::vector<double> scores, std::vector<double> values)
      : z_(std::move(scores)), x_(std::move(values)) {}

  double lower(double x) const override { return numeric::normal_cdf(score(x)); }
  double upper(double x) const override { return numeric::normal_cdf(-score(x)); }
  double lower_quantile(double p) const override { return value(numeric::normal_quantile(p)); }
  double upper_quantile(double q) const override { return value(-numeric::normal_quantile(q)); }
  double density(double x) const override {
    return numeric::normal_density(score(x)) / slope(piece(x_, x));
  }
  double interval(double a, double b) const override {
    const std::size_t i = piece(x_, a);
    const double from = score(a);
    const double to = score(b);
    if (i != piece(x_, b)) return numeric::normal_interval(from, to);
    return numeric::normal_interval(from, to, (b - a) / slope(i));
  }
  // Σ ∫ (x_i + slope (z − z_i)) φ(z) dz over the pieces.
  double average() const override {
    double sum = 0.0;
    for (std::size_t i = 0; i + 1 < z_.size(); ++i) {
      const double from = i == 0 ? -k_infinity : z_[i];
      const double to = i + 2 == z_.size() ? k_infinity : z_[i + 1];
      sum += (x_[i] - x_.front() - slope(i) * z_[i]) * numeric::normal_interval(from, to) +
             slope(i) * (numeric::normal_density(from) - numeric::normal_density(to));
    }
    return x_.front() + sum;
  }
  Traits traits() const override { return {.bell_shaped = true}; }
  Distribution shifted(double by) const override {
    std::vector<double> values = x_;
    for (double& value : values) value += by;
    return make<Quantiles>(z_, std::move(values));
  }

  void fill_below(Values x, std::span<double> p) const override { shares(1.0, x, p); }
  void fill_above(Values x, std::span<double> q) const override { shares(-1.0, x, q); }
  void fill_quantile(Values u, std::span<double> x) const override {
    numeric::normal_quantile(u, x);
    fill_at_scores({x.data(), u.size()}, x.data());
  }
  void fill_at_scores(Values z, double* x) const override {
    for (std::size_t i = 0; i < z.size(); ++i) x[i] = value(z[i]);
  }

 private:
  /// The piece whose line holds at `at`.
  static std::size_t piece(const std::vector<double>& ends, double at) {
    return static_cast<std::size_t>(std::upper_bound(ends.begin() + 1, ends.end() - 1, at) -
                                    ends.begin() - 1);
  }
  double slope(std::size_t i) const { return (x_[i + 1] - x_[i]) / (z_[i + 1] - z_[i]); }
  double value(double z) const {
    const std::size_t i = piece(z_, z);
    return x_[i] + slope(i) * (z - z_[i]);
  }
  double score(double x) const {
    const std::size_t i = piece(x_, x);
    return z_[i] + (x - x_[i]) / slope(i);
  }
  void shares(double sign, Values x, std::span<double> share) const {
    for (std::size_t i = 0; i < x.size(); ++i) share[i] = sign * score(x[i]);
    numeric::normal_cdf({share.data(), x.size()}, {share.data(), x.size()});
  }

  std::vector<double> z_, x_;
};

}  // namespace

Distribution quantiles(std::span<const double> shares_and_values) {
  std::vector<double> scores;
  std::vector<double> values;
  for (std::size_t i = 0; i + 1 < shares_and_values.size(); i += 2) {
    const double share = shares_and_values[i];
    const double value = shares_and_values[i + 1];
    require(share > 0.0 && share < 1.0, "quantiles: shares lie above 0 % and below 100 %");
    require_finite({value}, "quantiles");
    scores.push_back(numeric::normal_quantile(share));
    values.push_back(value);
    const std::size_t n = values.size();
    require(n == 1 || (scores[n - 2] < scores[n - 1] && values[n - 2] < values[n - 1]),
            "quantiles: shares and values must rise from each to the next");
  }
  require(values.size() >= 2, "quantiles: two at least are needed");
  return make<Quantiles>(std::move(scores), std::move(values));
}

const Form quantiles_form{
    "quantiles(share: x1, share: x2, ...)",
    "through these points, such as 5 %: 70 %, 50 %: 74 %; straight in the normal score", "s*",
    [](Values v) { return quantiles(v); }};

}  // namespace blendrisk::distributions
