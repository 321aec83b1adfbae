#include "line/gap.hpp"

#include <algorithm>
#include <cmath>

#include "estimate/interval.hpp"
#include "numeric/vector_math.hpp"
#include "tank/landed_distribution.hpp"

namespace blendrisk::line {
namespace {

/// Quantiles rest on at least this many cases.
constexpr std::size_t k_fewest_of_gap = 100;

std::optional<std::array<double, 5>> quantiles(std::vector<double>& values) {
  if (values.size() < k_fewest_of_gap) return {};
  return tank::quantiles_of(values);
}

/// Share of the cases, with its error over the blocks.
estimate::Estimate share_of(const ArrivalCases& cases, const std::vector<bool>& holds) {
  const std::size_t each = cases.size() / cases.blocks;
  const double count = 1.0 / static_cast<double>(each);
  std::vector<double> shares(cases.blocks);
  for (std::size_t i = 0; i < cases.size(); ++i) {
    if (holds[i]) shares[i / each] += count;
  }
  const double all = numeric::sum(shares);
  if (all == 0.0) return estimate::zero_hit_bound(cases.size());
  return estimate::student_estimate(estimate::mean_of(shares));
}

}  // namespace

std::optional<Gap> estimate_gap(const Line& line, const ArrivalCases& cases) {
  if (limits_before(line.inputs().scenario()).empty()) return {};
  std::vector<double> leaves_l;
  std::vector<double> leaves_s;
  std::vector<double> lasts_l;
  std::vector<double> lasts_s;
  std::vector<bool> some(cases.size());
  for (std::size_t i = 0; i < cases.size(); ++i) {
    const bool leaves = std::isfinite(cases.left[i]);
    if (leaves) leaves_l.push_back(cases.left[i]);
    if (leaves && line.has_rates()) leaves_s.push_back(cases.left_s[i]);
    some[i] = cases.out_to[i] > cases.left[i];
    if (!cases.arrives(i)) continue;
    lasts_l.push_back(some[i] ? cases.out_to[i] - cases.left[i] : 0.0);
    if (line.has_rates()) lasts_s.push_back(some[i] ? cases.out_until_s[i] - cases.left_s[i] : 0.0);
  }
  Gap gap;
  gap.leaves = {quantiles(leaves_l), quantiles(leaves_s)};
  gap.lasts = {quantiles(lasts_l), quantiles(lasts_s)};
  gap.some = share_of(cases, some);
  return gap;
}

}  // namespace blendrisk::line
