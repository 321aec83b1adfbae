#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "estimate/randomised_qmc.hpp"

/// Which points make up a round, and which of them are looked at together.
namespace blendrisk::estimate {

/// Consecutive points of one part of the mixture in one replicate.
struct Segment {
  std::uint32_t replicate;
  std::uint32_t part;
  std::uint32_t first;
  std::uint32_t count;
};

/// Segments [from, to) that share a batch.
struct Load {
  std::size_t from, to;
};

struct Plan {
  std::vector<Segment> segments;  ///< replicate by replicate, in each part by part
  std::vector<Load> loads;
  std::vector<double> shares;  ///< of the parts in the points
};

/// Of a round of this size, in batches of Workspace::k_capacity points at most.
Plan plan_of(const Size& size, const Mixture& mixture);

}  // namespace blendrisk::estimate
