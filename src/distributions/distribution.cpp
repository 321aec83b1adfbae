#include "distributions/distribution.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <mutex>
#include <optional>

#include "distributions/laws.hpp"
#include "distributions/score_table.hpp"

namespace blendrisk::distributions {
namespace {

void require_finite(std::initializer_list<double> values, const char* law) {
  for (const double value : values) {
    if (!std::isfinite(value)) {
      throw ParameterError(std::string(law) + ": every parameter must be a finite number");
    }
  }
}

void require_positive(double value, const char* what) {
  if (!(value > 0.0)) throw ParameterError(std::string(what) + " must be above 0");
}

/// A shape far from any data, whose inverse no longer rises (Boost's for t below 0.013 degrees of
/// freedom) or takes minutes.
void require_shape(double value, bool beta, const char* what) {
  if (!(value >= (beta ? 0.001 : 0.02) && value <= 1e9)) {
    throw ParameterError(std::string(what) + " must be from " + (beta ? "0.001" : "0.02") +
                         " to 1e9");
  }
}

void require_width(double low, double high, const char* law) {
  require_finite({low, high}, law);
  if (!(low < high)) throw ParameterError(std::string(law) + ": low must be below high");
  if (!std::isfinite(high - low))
    throw ParameterError(std::string(law) + ": the bounds are too far apart");
}

}  // namespace

Distribution exact(double value) {
  require_finite({value}, "exact");
  return Distribution(Exact{value});
}

Distribution normal(double mean, double sd) {
  require_finite({mean, sd}, "normal");
  require_positive(sd, "normal: the standard deviation");
  return Distribution(Normal{mean, sd});
}

Distribution uniform(double low, double high) {
  require_width(low, high, "uniform");
  return Distribution(Uniform{low, high});
}

Distribution triangular(double low, double peak, double high) {
  require_width(low, high, "triangular");
  require_finite({peak}, "triangular");
  if (peak < low || peak > high) {
    throw ParameterError("triangular: the peak must lie between low and high");
  }
  return Distribution(Trapezoidal{low, peak, peak, high});
}

Distribution trapezoidal(double low, double flat_from, double flat_to, double high) {
  require_width(low, high, "trapezoidal");
  require_finite({flat_from, flat_to}, "trapezoidal");
  if (flat_from < low || flat_to < flat_from || flat_to > high) {
    throw ParameterError("trapezoidal: low, flat-from, flat-to, high must not decrease");
  }
  return Distribution(Trapezoidal{low, flat_from, flat_to, high});
}

Distribution arcsine(double low, double high) {
  require_width(low, high, "arcsine");
  return Distribution(Arcsine{low, high});
}

Distribution beta(double low, double high, double a, double b) {
  require_width(low, high, "beta");
  require_finite({a, b}, "beta");
  require_shape(a, true, "beta: a");
  require_shape(b, true, "beta: b");
  return Distribution(Beta{low, high, a, b});
}

Distribution student(double center, double scale, double dof) {
  require_finite({center, scale, dof}, "student");
  require_positive(scale, "student: the scale");
  require_shape(dof, false, "student: the degrees of freedom");
  return Distribution(Student{center, scale, dof});
}

Distribution tests(std::span<const double> values) {
  if (values.size() < 2) throw ParameterError("tests: at least two values are needed");
  const auto n = static_cast<double>(values.size());
  for (const double value : values) require_finite({value}, "tests");
  // About the first value: the mean of equal values is then that value, and large ones keep digits.
  double shift = 0.0;
  for (const double value : values) shift += (value - values[0]) / n;
  double squares = 0.0;
  for (const double value : values) {
    const double off = (value - values[0]) - shift;
    squares += off * off;
  }
  const double scale = std::sqrt(squares / (n - 1.0) / n);
  if (!(scale > 0.0)) {
    throw ParameterError("tests: the values must not all be equal, or they say nothing of scatter");
  }
  return student(values[0] + shift, scale, n - 1.0);
}

Distribution empirical(std::vector<double> values) {
  if (values.size() < 2) {
    throw ParameterError("measured: one value says nothing of scatter, two at least are needed");
  }
  for (const double value : values) require_finite({value}, "measured");
  std::sort(values.begin(), values.end());
  return Distribution(Empirical{std::make_shared<const std::vector<double>>(std::move(values))});
}

namespace {

Distribution shifted(const Distribution& d, double by) {
  struct Shift {
    double by;
    Distribution operator()(const Exact& law) const { return exact(law.value + by); }
    Distribution operator()(const Normal& law) const { return normal(law.mean + by, law.sd); }
    Distribution operator()(const Uniform& law) const {
      return uniform(law.low + by, law.high + by);
    }
    Distribution operator()(const Trapezoidal& law) const {
      return trapezoidal(law.low + by, law.flat_from + by, law.flat_to + by, law.high + by);
    }
    Distribution operator()(const Arcsine& law) const {
      return arcsine(law.low + by, law.high + by);
    }
    Distribution operator()(const Beta& law) const {
      return beta(law.low + by, law.high + by, law.a, law.b);
    }
    Distribution operator()(const Student& law) const {
      return student(law.center + by, law.scale, law.dof);
    }
    Distribution operator()(const Empirical& law) const {
      std::vector<double> values = *law.sorted;
      for (double& value : values) value += by;
      return Distribution(Empirical{std::make_shared<const std::vector<double>>(std::move(values)),
                                    law.low + by, law.high + by});
    }
    Distribution operator()(const std::shared_ptr<const Truncated>& law) const {
      return truncated(shifted(law->base, by), law->low + by, law->high + by);
    }
  };
  return std::visit(Shift{by}, d.law());
}

}  // namespace

Distribution moved(const Distribution& d, double centre) {
  const auto* cut = std::get_if<std::shared_ptr<const Truncated>>(&d.law());
  return shifted(d, centre - mean(cut != nullptr ? (*cut)->base : d));
}

double cdf(const Distribution& d, double x) {
  return std::visit([x](const auto& law) { return laws::lower(law, x); }, d.law());
}

double cdf_below(const Distribution& d, double x) {
  return std::visit([x](const auto& law) { return laws::lower_below(law, x); }, d.law());
}

double complement(const Distribution& d, double x) {
  return std::visit([x](const auto& law) { return laws::upper(law, x); }, d.law());
}

double quantile(const Distribution& d, double p) {
  return std::visit([p](const auto& law) { return laws::lower_quantile(law, p); }, d.law());
}

double quantile_complement(const Distribution& d, double q) {
  return std::visit([q](const auto& law) { return laws::upper_quantile(law, q); }, d.law());
}

double mean(const Distribution& d) {
  return std::visit([](const auto& law) { return laws::mean(law); }, d.law());
}

double lowest(const Distribution& d) {
  return std::visit([](const auto& law) { return laws::lowest(law); }, d.law());
}

double highest(const Distribution& d) {
  return std::visit([](const auto& law) { return laws::highest(law); }, d.law());
}

bool is_exact(const Distribution& d) {
  return std::holds_alternative<Exact>(d.law());
}

namespace {

bool is_searched(const Distribution::Law& law) {
  if (const auto* cut = std::get_if<std::shared_ptr<const Truncated>>(&law)) {
    return is_searched((*cut)->base.law());
  }
  return std::holds_alternative<Beta>(law) || std::holds_alternative<Student>(law);
}

}  // namespace

struct Distribution::Later {
  std::once_flag made;
  std::optional<ScoreTable> table;
};

Distribution::Distribution(Law law) : law_(std::move(law)) {
  if (is_searched(law_)) later_ = std::make_shared<Later>();
}

const ScoreTable* Distribution::scores() const {
  if (!later_) return nullptr;
  std::call_once(later_->made, [this] { later_->table.emplace(*this); });
  return &*later_->table;
}

bool is_log_concave(const Distribution& d) {
  if (const auto* law = std::get_if<Beta>(&d.law())) return law->a >= 1.0 && law->b >= 1.0;
  if (const auto* law = std::get_if<std::shared_ptr<const Truncated>>(&d.law())) {
    return is_log_concave((*law)->base);
  }
  return std::holds_alternative<Exact>(d.law()) || std::holds_alternative<Normal>(d.law()) ||
         std::holds_alternative<Uniform>(d.law()) || std::holds_alternative<Trapezoidal>(d.law());
}

}  // namespace blendrisk::distributions
