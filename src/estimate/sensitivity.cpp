#include "estimate/sensitivity.hpp"

#include <algorithm>
#include <cmath>

#include "numeric/vector_math.hpp"
#include "sampling/random_streams.hpp"
#include "sampling/sobol.hpp"

namespace blendrisk::estimate {
namespace {

constexpr std::size_t k_replicates = 16;

/// Means over the points of one scrambling.
struct PairSums {
  double variance = 0.0;
  std::vector<double> first, total;  ///< numerators
};

/// The columns of A, B and AB of one scrambling.
class Scrambling {
 public:
  Scrambling(std::size_t dimensions, std::size_t points, const sampling::Stream& stream)
      : a_(dimensions, std::vector<double>(points)), b_(a_) {
    for (std::size_t d = 0; d < dimensions; ++d) {
      sampling::scrambled_sobol(0, d, stream.of_dimension(d), a_[d]);
      const std::size_t other = dimensions + d;
      sampling::scrambled_sobol(0, other, stream.of_dimension(other), b_[d]);
    }
  }

  /// A, with the column of B in place of its own at `swapped`; beyond the last: none.
  std::vector<std::span<const double>> a(std::size_t swapped) const {
    std::vector<std::span<const double>> columns(a_.begin(), a_.end());
    if (swapped < columns.size()) columns[swapped] = b_[swapped];
    return columns;
  }
  std::vector<std::span<const double>> b() const { return {b_.begin(), b_.end()}; }

 private:
  std::vector<std::vector<double>> a_, b_;
};

PairSums sums_of(const Scrambling& points, std::size_t dimensions,
                 const std::vector<std::size_t>& wanted, std::size_t n, const BatchFunction& f) {
  std::vector<double> at_a(n);
  std::vector<double> at_b(n);
  std::vector<double> mixed(n);
  f(points.a(dimensions), at_a);
  f(points.b(), at_b);
  const auto count = static_cast<double>(n);
  const double mean = (numeric::sum(at_a) + numeric::sum(at_b)) / (2.0 * count);
  PairSums sums;
  // About the mean: the estimator's own noise grows with the size of f.
  for (std::size_t i = 0; i < n; ++i) {
    at_a[i] -= mean;
    at_b[i] -= mean;
    sums.variance += (at_a[i] * at_a[i] + at_b[i] * at_b[i]) / (2.0 * count);
  }
  for (const std::size_t d : wanted) {
    f(points.a(d), mixed);
    double first = 0.0;
    double total = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      const double off = mixed[i] - mean - at_a[i];
      first += at_b[i] * off;
      total += 0.5 * off * off;
    }
    sums.first.push_back(first / count);
    sums.total.push_back(total / count);
  }
  return sums;
}

Index ratio(const std::vector<double>& numerators, const std::vector<double>& variances) {
  const double variance = mean_of(variances).mean;
  Index index;
  if (!(variance > 1e-24)) return index;
  index.value = mean_of(numerators).mean / variance;
  std::vector<double> linear(numerators.size());
  for (std::size_t r = 0; r < linear.size(); ++r) {
    linear[r] = (numerators[r] - index.value * variances[r]) / variance;
  }
  index.standard_error = std::sqrt(mean_of(linear).variance);
  // Student's t of 15 degrees of freedom.
  constexpr double t = 2.131449546;
  index.interval = {index.value - t * index.standard_error, index.value + t * index.standard_error};
  return index;
}

}  // namespace

std::vector<Sensitivity> sobol_indices(std::size_t dimensions,
                                       const std::vector<std::size_t>& wanted,
                                       const BatchFunction& f, unsigned log2_points,
                                       std::uint64_t seed) {
  const std::size_t n = std::size_t{1} << log2_points;
  std::vector<PairSums> sums;
  for (std::size_t r = 0; r < k_replicates; ++r) {
    const sampling::Stream stream(seed, sampling::Purpose::sensitivity, r);
    sums.push_back(sums_of(Scrambling(dimensions, n, stream), dimensions, wanted, n, f));
  }
  std::vector<double> variances;
  for (const PairSums& one : sums) variances.push_back(one.variance);
  std::vector<Sensitivity> result;
  for (std::size_t d = 0; d < wanted.size(); ++d) {
    std::vector<double> first;
    std::vector<double> total;
    for (const PairSums& one : sums) {
      first.push_back(one.first[d]);
      total.push_back(one.total[d]);
    }
    result.push_back({ratio(first, variances), ratio(total, variances)});
  }
  return result;
}

}  // namespace blendrisk::estimate
