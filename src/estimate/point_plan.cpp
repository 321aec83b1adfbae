#include "estimate/point_plan.hpp"

#include <algorithm>
#include <numeric>

namespace blendrisk::estimate {
namespace {

/// The points of each part in a replicate.
std::vector<std::uint64_t> counts_in(const Size& size, const Mixture& mixture) {
  const std::uint64_t points = std::uint64_t{1} << size.log2_points;
  if (!mixture.strengths.empty()) return {points, points / 8};
  std::vector<std::uint64_t> counts;
  for (const Mixture::Part& part : mixture.parts) counts.push_back(points >> part.halvings);
  return counts.empty() ? std::vector{points} : counts;
}

}  // namespace

unsigned Mixture::least_log2() const {
  if (!strengths.empty()) return 3;
  unsigned least = 0;
  for (const Part& part : parts) least = std::max(least, part.halvings);
  return least;
}

std::uint64_t points_in(const Size& size, const Mixture& mixture) {
  const std::vector<std::uint64_t> counts = counts_in(size, mixture);
  return size.replicates * std::accumulate(counts.begin(), counts.end(), std::uint64_t{0});
}

Plan plan_of(const Size& size, const Mixture& mixture) {
  Plan plan;
  const std::vector<std::uint64_t> counts = counts_in(size, mixture);
  const std::uint64_t all = std::accumulate(counts.begin(), counts.end(), std::uint64_t{0});
  for (const std::uint64_t count : counts) {
    plan.shares.push_back(static_cast<double>(count) / static_cast<double>(all));
  }
  for (std::uint32_t replicate = 0; replicate < size.replicates; ++replicate) {
    for (std::uint32_t part = 0; part < counts.size(); ++part) {
      for (std::uint64_t first = 0; first < counts[part]; first += Workspace::k_capacity) {
        const std::uint64_t count =
            std::min<std::uint64_t>(Workspace::k_capacity, counts[part] - first);
        plan.segments.push_back({replicate, part, static_cast<std::uint32_t>(first),
                                 static_cast<std::uint32_t>(count)});
      }
    }
  }
  std::size_t filled = Workspace::k_capacity;
  for (std::size_t s = 0; s < plan.segments.size(); ++s) {
    const std::size_t count = plan.segments[s].count;
    if (filled + count > Workspace::k_capacity) {
      plan.loads.push_back({s, s});
      filled = 0;
    }
    plan.loads.back().to = s + 1;
    filled += count;
  }
  return plan;
}

}  // namespace blendrisk::estimate
