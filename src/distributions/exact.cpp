#include "distributions/families.hpp"
#include "distributions/form.hpp"
#include "distributions/law.hpp"

namespace blendrisk::distributions {
namespace {

class Exact final : public Law {
 public:
  explicit Exact(double value) : value_(value) {}
  double lower(double x) const override { return x >= value_ ? 1.0 : 0.0; }
  double lower_below(double x) const override { return x > value_ ? 1.0 : 0.0; }
  double upper(double x) const override { return x < value_ ? 1.0 : 0.0; }
  double lower_quantile(double /*p*/) const override { return value_; }
  double upper_quantile(double /*q*/) const override { return value_; }
  double average() const override { return value_; }
  double lowest() const override { return value_; }
  double highest() const override { return value_; }
  Traits traits() const override { return {.exact = true, .log_concave = true}; }
  Distribution shifted(double by) const override { return exact(value_ + by); }
  Distribution cut(double low, double high) const override {
    if (value_ < low || value_ > high) fail_empty(low, high);
    return Distribution(shared_from_this());
  }

 private:
  double value_;
};

}  // namespace

Distribution exact(double value) {
  require_finite({value}, "exact");
  return make<Exact>(value);
}

const Form exact_form{"exact(value)", "that value and no other", "p",
                      [](Values v) { return exact(v[0]); }};

}  // namespace blendrisk::distributions
