#include <algorithm>
#include <cmath>

#include "distributions/families.hpp"
#include "distributions/form.hpp"
#include "distributions/law.hpp"

namespace blendrisk::distributions {

namespace {

class Empirical final : public Law {
 public:
  Empirical(std::vector<double> sorted, double low, double high)
      : sorted_(std::move(sorted)), low_(low), high_(high) {}
  double lower(double x) const override { return share(not_above(x)); }
  double lower_below(double x) const override {
    return share(std::lower_bound(sorted_.begin(), sorted_.end(), x) - sorted_.begin());
  }
  double upper(double x) const override { return share(std::ssize(sorted_) - not_above(x)); }
  // The smallest k with k/n >= p; the product's rounding is put right by the division the
  // distribution function makes.
  double lower_quantile(double p) const override {
    const auto n = static_cast<double>(sorted_.size());
    double k = std::clamp(std::ceil(p * n), 1.0, n);
    if (k > 1.0 && (k - 1.0) / n >= p) k -= 1.0;
    if (k < n && k / n < p) k += 1.0;
    return sorted_[static_cast<std::size_t>(k) - 1];
  }
  // The largest number of values k that may lie above, k/n <= q.
  double upper_quantile(double q) const override {
    const auto n = static_cast<double>(sorted_.size());
    double k = std::clamp(std::floor(q * n), 0.0, n - 1.0);
    if (k > 0.0 && k / n > q) k -= 1.0;
    if (k < n - 1.0 && (k + 1.0) / n <= q) k += 1.0;
    return sorted_[sorted_.size() - 1 - static_cast<std::size_t>(k)];
  }
  // About the middle value, so that the sum neither overflows nor loses digits.
  double average() const override {
    const double middle = sorted_[sorted_.size() / 2];
    double sum = 0.0;
    for (const double x : sorted_) sum += (x - middle) / static_cast<double>(sorted_.size());
    return std::clamp(middle + sum, lowest(), highest());
  }
  double lowest() const override { return sorted_.front(); }
  double highest() const override { return sorted_.back(); }
  Steps steps() const override { return {sorted_.size(), low_, high_}; }
  Distribution shifted(double by) const override {
    std::vector<double> values = sorted_;
    for (double& value : values) value += by;
    return make<Empirical>(std::move(values), low_ + by, high_ + by);
  }
  Distribution cut(double low, double high) const override {
    const auto from = std::lower_bound(sorted_.begin(), sorted_.end(), low);
    const auto to = std::upper_bound(sorted_.begin(), sorted_.end(), high);
    if (from == to) fail_empty(low, high);
    return make<Empirical>(std::vector<double>(from, to), std::max(low, low_),
                           std::min(high, high_));
  }

 private:
  double share(std::ptrdiff_t count) const {
    return static_cast<double>(count) / static_cast<double>(sorted_.size());
  }
  std::ptrdiff_t not_above(double x) const {
    return std::upper_bound(sorted_.begin(), sorted_.end(), x) - sorted_.begin();
  }

  std::vector<double> sorted_;
  double low_, high_;
};

}  // namespace

Distribution empirical(std::vector<double> values) {
  require(values.size() >= 2,
          "measured: one value says nothing of scatter, two at least are needed");
  for (const double value : values) require_finite({value}, "measured");
  std::sort(values.begin(), values.end());
  return make<Empirical>(std::move(values), -k_infinity, k_infinity);
}

const Form measured_form{
    R"(measured("file", "column"))",
    "the measured values themselves, equally likely; the file's path is relative to the scenario",
    "column", [](Values v) {
      return empirical({v.begin(), v.end()});
    }};

}  // namespace blendrisk::distributions
