#include <algorithm>
#include <cmath>
#include <cstddef>

#include "distributions/laws.hpp"

namespace blendrisk::distributions::laws {

double lower(const Exact& law, double x) {
  return x >= law.value ? 1.0 : 0.0;
}

double lower_below(const Exact& law, double x) {
  return x > law.value ? 1.0 : 0.0;
}

double upper(const Exact& law, double x) {
  return x < law.value ? 1.0 : 0.0;
}

double lower_quantile(const Exact& law, double /*p*/) {
  return law.value;
}

double upper_quantile(const Exact& law, double /*p*/) {
  return law.value;
}

double mean(const Exact& law) {
  return law.value;
}

double lowest(const Exact& law) {
  return law.value;
}

double highest(const Exact& law) {
  return law.value;
}

double lower(const Empirical& law, double x) {
  const auto& v = *law.sorted;
  const auto count = std::upper_bound(v.begin(), v.end(), x) - v.begin();
  return static_cast<double>(count) / static_cast<double>(v.size());
}

double lower_below(const Empirical& law, double x) {
  const auto& v = *law.sorted;
  const auto count = std::lower_bound(v.begin(), v.end(), x) - v.begin();
  return static_cast<double>(count) / static_cast<double>(v.size());
}

double upper(const Empirical& law, double x) {
  const auto& v = *law.sorted;
  const auto count = v.end() - std::upper_bound(v.begin(), v.end(), x);
  return static_cast<double>(count) / static_cast<double>(v.size());
}

// The smallest k with k/n >= p; the product's rounding is put right by the division the
// distribution function makes.
double lower_quantile(const Empirical& law, double p) {
  const auto& v = *law.sorted;
  const auto n = static_cast<double>(v.size());
  double k = std::clamp(std::ceil(p * n), 1.0, n);
  if (k > 1.0 && (k - 1.0) / n >= p) k -= 1.0;
  if (k < n && k / n < p) k += 1.0;
  return v[static_cast<std::size_t>(k) - 1];
}

// The largest number of values k that may lie above, k/n <= q.
double upper_quantile(const Empirical& law, double q) {
  const auto& v = *law.sorted;
  const auto n = static_cast<double>(v.size());
  double k = std::clamp(std::floor(q * n), 0.0, n - 1.0);
  if (k > 0.0 && k / n > q) k -= 1.0;
  if (k < n - 1.0 && (k + 1.0) / n <= q) k += 1.0;
  return v[v.size() - 1 - static_cast<std::size_t>(k)];
}

double mean(const Empirical& law) {
  const auto& v = *law.sorted;
  // About the middle value, so that the sum neither overflows nor loses digits.
  const double middle = v[v.size() / 2];
  double sum = 0.0;
  for (const double x : v) sum += (x - middle) / static_cast<double>(v.size());
  return std::clamp(middle + sum, v.front(), v.back());
}

double lowest(const Empirical& law) {
  return law.sorted->front();
}

double highest(const Empirical& law) {
  return law.sorted->back();
}

}  // namespace blendrisk::distributions::laws
