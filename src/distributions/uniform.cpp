#include <algorithm>

#include "distributions/families.hpp"
#include "distributions/form.hpp"
#include "distributions/law.hpp"
#include "numeric/target_clones.hpp"

namespace blendrisk::distributions {
namespace {

BLENDRISK_CLONES void between_loop(const double* u, double low, double high, double* x,
                                   std::size_t n) {
  const double width = high - low;
  for (std::size_t i = 0; i < n; ++i) {
    const double inside = low + u[i] * width;
    x[i] = inside < high ? inside : high;
  }
}

/// F = (x − low)/(high − low).
class Uniform final : public Law {
 public:
  Uniform(double low, double high) : low_(low), high_(high), width_(high - low) {}
  double lower(double x) const override { return std::clamp((x - low_) / width_, 0.0, 1.0); }
  double upper(double x) const override { return std::clamp((high_ - x) / width_, 0.0, 1.0); }
  double lower_quantile(double p) const override {
    return std::clamp(low_ + p * width_, low_, high_);
  }
  double upper_quantile(double q) const override {
    return std::clamp(high_ - q * width_, low_, high_);
  }
  double average() const override { return low_ + 0.5 * width_; }
  double lowest() const override { return low_; }
  double highest() const override { return high_; }
  Traits traits() const override { return {.log_concave = true}; }
  Distribution shifted(double by) const override { return uniform(low_ + by, high_ + by); }
  Distribution cut(double low, double high) const override {
    const double from = std::max(low, low_);
    const double to = std::min(high, high_);
    if (!(from < to)) fail_empty(low, high);
    return uniform(from, to);
  }

  // As above, but without a call for each case.
  void fill_below(Values x, std::span<double> p) const override {
    for (std::size_t i = 0; i < x.size(); ++i) p[i] = Uniform::lower(x[i]);
  }
  void fill_above(Values x, std::span<double> q) const override {
    for (std::size_t i = 0; i < x.size(); ++i) q[i] = Uniform::upper(x[i]);
  }
  void fill_quantile(Values u, std::span<double> x) const override {
    between_loop(u.data(), low_, high_, x.data(), u.size());
  }

 private:
  double low_, high_, width_;
};

}  // namespace

Distribution uniform(double low, double high) {
  require_width(low, high, "uniform");
  return make<Uniform>(low, high);
}

const Form uniform_form{"uniform(low, high)", "all values between equally likely", "pp",
                        [](Values v) { return uniform(v[0], v[1]); }};

}  // namespace blendrisk::distributions
