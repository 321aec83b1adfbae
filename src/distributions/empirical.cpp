#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <functional>

#include "distributions/families.hpp"
#include "distributions/form.hpp"
#include "distributions/law.hpp"
#include "numeric/target_clones.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::distributions {

namespace {

// How many of the sorted numbers lie before x, by halves without a branch: in which half x lies is
// as good as chance. The numbers end with infinities, so that there are 2 first_half of them.
template <class Before>
BLENDRISK_LANE void count_loop(const double* sorted, std::int32_t first_half, const double* x,
                               std::int32_t* count, std::size_t n, Before before) {
  for (std::size_t i = 0; i < n; ++i) count[i] = 0;
  for (std::int32_t half = first_half; half > 0; half /= 2) {
    for (std::size_t i = 0; i < n; ++i) {
      const std::int32_t next = count[i] + half;
      count[i] = before(sorted[next - 1], x[i]) ? next : count[i];
    }
  }
}

BLENDRISK_CLONES void below_loop(const double* sorted, std::int32_t first_half, const double* x,
                                 std::int32_t* count, std::size_t n) {
  count_loop(sorted, first_half, x, count, n, std::less<>());
}

BLENDRISK_CLONES void at_most_loop(const double* sorted, std::int32_t first_half, const double* x,
                                   std::int32_t* count, std::size_t n) {
  count_loop(sorted, first_half, x, count, n, std::less_equal<>());
}

BLENDRISK_CLONES void share_loop(double values, const std::int32_t* count, double* share,
                                 std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const auto here = static_cast<double>(count[i]);
    share[i] = (here < values ? here : values) / values;
  }
}

BLENDRISK_CLONES void above_loop(double values, const std::int32_t* count, double* share,
                                 std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const double above = values - static_cast<double>(count[i]);
    share[i] = (above > 0.0 ? above : 0.0) / values;
  }
}

// The number of the value that is the quantile, from 0 on.
BLENDRISK_CLONES void rank_loop(double values, const double* p, std::int32_t* rank, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    double k = __builtin_ceil(p[i] * values);
    k = k > 1.0 ? k : 1.0;
    k = k < values ? k : values;
    k = k > 1.0 && (k - 1.0) / values >= p[i] ? k - 1.0 : k;
    k = k < values && k / values < p[i] ? k + 1.0 : k;
    rank[i] = static_cast<std::int32_t>(k) - 1;
  }
}

BLENDRISK_CLONES void take_loop(const double* sorted, const std::int32_t* rank, double* x,
                                std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) x[i] = sorted[rank[i]];
}

/// Sorted numbers, and infinities up to a power of two.
class Padded {
 public:
  explicit Padded(std::vector<double> sorted) : numbers_(std::move(sorted)) {
    numbers_.resize(std::bit_ceil(numbers_.size() + 1), k_infinity);
  }
  const double* data() const { return numbers_.data(); }
  std::int32_t first_half() const { return static_cast<std::int32_t>(numbers_.size() / 2); }

 private:
  std::vector<double> numbers_;
};

/// Scores between which the values are the quantiles: those of 1/n, 2/n, ..., (n − 1)/n.
std::vector<double> edges_between(std::size_t values) {
  std::vector<double> edges;
  for (std::size_t k = 1; k < values; ++k) {
    edges.push_back(static_cast<double>(k) / static_cast<double>(values));
  }
  numeric::normal_quantile(edges, edges);
  return edges;
}

class Empirical final : public Law {
 public:
  Empirical(std::vector<double> sorted, double low, double high)
      : sorted_(std::move(sorted)),
        padded_(sorted_),
        edges_(edges_between(sorted_.size())),
        low_(low),
        high_(high) {}
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
  void fill_below(Values x, std::span<double> p) const override {
    in_chunks(x.size(), [&](std::size_t from, std::size_t n) {
      Ranks count;  // NOLINT: written before it is read
      below_loop(padded_.data(), padded_.first_half(), x.data() + from, count.data(), n);
      share_loop(size(), count.data(), p.data() + from, n);
    });
  }
  void fill_above(Values x, std::span<double> q) const override {
    in_chunks(x.size(), [&](std::size_t from, std::size_t n) {
      Ranks count;  // NOLINT: written before it is read
      at_most_loop(padded_.data(), padded_.first_half(), x.data() + from, count.data(), n);
      above_loop(size(), count.data(), q.data() + from, n);
    });
  }
  void fill_quantile(Values u, std::span<double> x) const override {
    in_chunks(u.size(), [&](std::size_t from, std::size_t n) {
      Ranks rank;  // NOLINT: written before it is read
      rank_loop(size(), u.data() + from, rank.data(), n);
      take_loop(sorted_.data(), rank.data(), x.data() + from, n);
    });
  }
  void fill_at_scores(Values z, double* x) const override {
    in_chunks(z.size(), [&](std::size_t from, std::size_t n) {
      Ranks rank;  // NOLINT: written before it is read
      below_loop(edges_.data(), edges_.first_half(), z.data() + from, rank.data(), n);
      take_loop(sorted_.data(), rank.data(), x + from, n);
    });
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
  using Ranks = std::array<std::int32_t, k_chunk>;

  double size() const { return static_cast<double>(sorted_.size()); }
  double share(std::ptrdiff_t count) const { return static_cast<double>(count) / size(); }
  std::ptrdiff_t not_above(double x) const {
    return std::upper_bound(sorted_.begin(), sorted_.end(), x) - sorted_.begin();
  }

  std::vector<double> sorted_;
  Padded padded_, edges_;
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
