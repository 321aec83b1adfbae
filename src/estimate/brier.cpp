#include "estimate/brier.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "numeric/vector_math.hpp"
#include "sampling/random_streams.hpp"
#include "sampling/xoshiro.hpp"

namespace blendrisk::estimate {
namespace {

/// Tells its streams from those of counted cases, whose parts are never as many.
constexpr std::uint64_t k_of_a_band = ~std::uint64_t{1};

/// Rows of rising chances, equal ones together: recalibrated again and again.
class Recalibration {
 public:
  explicit Recalibration(std::span<const double> chances) : order_(chances.size()) {
    std::iota(order_.begin(), order_.end(), std::size_t{0});
    std::ranges::stable_sort(order_, {}, [&](std::size_t i) { return chances[i]; });
    for (std::size_t i = 0; i < order_.size(); ++i) {
      if (i == 0 || chances[order_[i]] > chances[order_[i - 1]]) starts_.push_back(i);
    }
    starts_.push_back(order_.size());
  }

  /// Pooling of adjacent violators.
  void fit(std::span<const double> came, std::span<double> to) {
    pools_.clear();
    for (std::size_t k = 0; k + 1 < starts_.size(); ++k) {
      Pool pool{starts_[k], starts_[k + 1], 0.0};
      for (std::size_t i = pool.from; i < pool.to; ++i) pool.sum += came[order_[i]];
      while (!pools_.empty() && pools_.back().mean() >= pool.mean()) {
        pool = {pools_.back().from, pool.to, pools_.back().sum + pool.sum};
        pools_.pop_back();
      }
      pools_.push_back(pool);
    }
    for (const Pool& pool : pools_) {
      for (std::size_t i = pool.from; i < pool.to; ++i) to[order_[i]] = pool.mean();
    }
  }

 private:
  struct Pool {
    std::size_t from, to;
    double sum;
    double mean() const { return sum / static_cast<double>(to - from); }
  };
  std::vector<std::size_t> order_, starts_;
  std::vector<Pool> pools_;
};

double mean_square(std::span<const double> a, std::span<const double> b) {
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) sum += (a[i] - b[i]) * (a[i] - b[i]);
  return sum / static_cast<double>(a.size());
}

}  // namespace

std::vector<double> recalibrated(std::span<const double> chances, std::span<const double> came) {
  std::vector<double> to(chances.size());
  Recalibration(chances).fit(came, to);
  return to;
}

BrierParts brier_parts(std::span<const double> chances, std::span<const double> came) {
  BrierParts parts;
  parts.score = mean_square(chances, came);
  const double best = mean_square(recalibrated(chances, came), came);
  const double share = numeric::sum(came) / static_cast<double>(came.size());
  parts.uncertainty = share * (1.0 - share);
  parts.miscalibration = parts.score - best;
  parts.discrimination = parts.uncertainty - best;
  return parts;
}

ReliabilityBand reliability_band(std::span<const double> chances, std::uint64_t seed,
                                 std::size_t draws) {
  const std::size_t n = chances.size();
  Recalibration recalibration(chances);
  constexpr std::size_t k_lanes = sampling::Xoshiro::k_lanes;
  std::vector<double> u((n + k_lanes - 1) / k_lanes * k_lanes);
  std::vector<double> came(n);
  std::vector<std::vector<double>> fits(draws, std::vector<double>(n));
  for (std::size_t draw = 0; draw < draws; ++draw) {
    sampling::Xoshiro random(
        sampling::Stream(seed, sampling::Purpose::crude, draw, k_of_a_band).key());
    random.fill(u);
    for (std::size_t i = 0; i < n; ++i) came[i] = u[i] < chances[i] ? 1.0 : 0.0;
    recalibration.fit(came, fits[draw]);
  }
  ReliabilityBand band{std::vector<double>(n), std::vector<double>(n)};
  std::vector<double> column(draws);
  const std::size_t off = draws / 40;
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t draw = 0; draw < draws; ++draw) column[draw] = fits[draw][i];
    std::ranges::sort(column);
    band.low[i] = column[off];
    band.high[i] = column[draws - 1 - off];
  }
  return band;
}

ExpectedMisses expected_misses(std::span<const double> chances) {
  constexpr double k_negligible = 1e-15;
  ExpectedMisses found;
  // The chances of `first` misses and on; those at both ends that no longer matter are left out.
  std::vector<double> share{1.0};
  std::size_t first = 0;
  for (const double chance : chances) {
    found.mean += chance;
    share.push_back(0.0);
    for (std::size_t k = share.size() - 1; k > 0; --k) {
      share[k] = share[k] * (1.0 - chance) + share[k - 1] * chance;
    }
    share[0] *= 1.0 - chance;
    while (share.size() > 1 && share.back() < k_negligible) share.pop_back();
    const auto kept = std::ranges::find_if(share, [](double p) { return p >= k_negligible; });
    const auto none = kept - share.begin();
    if (none < 64 || kept == share.end()) continue;
    share.erase(share.begin(), kept);
    first += static_cast<std::size_t>(none);
  }
  constexpr double k_tail_of_range = 0.025;
  std::size_t low = 0;
  for (double below = share[0]; below <= k_tail_of_range && low + 1 < share.size();) {
    below += share[++low];
  }
  std::size_t high = share.size() - 1;
  for (double above = share[high]; above <= k_tail_of_range && high > 0;) above += share[--high];
  found.range = {first + low, first + high};
  return found;
}

}  // namespace blendrisk::estimate
