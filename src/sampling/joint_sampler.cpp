#include "sampling/joint_sampler.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include "sampling/sobol.hpp"

namespace blendrisk::sampling {

JointSampler::JointSampler(const CaseInputs& inputs, std::vector<std::size_t> slots)
    : inputs_(&inputs), slots_(std::move(slots)) {
  rows_.reserve(slots_.size());
  for (std::size_t order = 0; order < slots_.size(); ++order) {
    rows_.push_back(score_row(inputs, std::span(slots_).first(order), slots_[order]));
  }
}

Coordinate JointSampler::coordinate(std::size_t order) const {
  if (rows_[order].correlated) return Coordinate::through_normal;
  return coordinate_of((*inputs_)[slots_[order]].law);
}

void JointSampler::draw(std::size_t order, double strength, const Draws& draws,
                        CaseBatch& batch) const {
  if (!rows_[order].correlated) {
    return draw_input(*inputs_, slots_[order], strength, draws, batch);
  }
  draw_scores(strength, draws);
  place(order, draws.u, batch);
}

void JointSampler::place(std::size_t order, std::span<const double> z, CaseBatch& batch) const {
  const std::size_t slot = slots_[order];
  const ScoreRow& row = rows_[order];
  const std::size_t n = z.size();
  double* x = batch.column(slot);
  if (!row.correlated) {
    (*inputs_)[slot].law.law().fill_at_scores(z, x);
    return batch.hold((*inputs_)[slot], slot, n);
  }
  double* own = batch.score(row.column);
  std::copy(z.begin(), z.end(), own);
  constexpr std::size_t k_part = 512;
  std::array<double, k_part> joined;  // NOLINT: written before it is read
  for (std::size_t from = 0; from < n; from += k_part) {
    const std::span<double> part(joined.data(), std::min(k_part, n - from));
    for (std::size_t i = 0; i < part.size(); ++i) part[i] = row.offset + row.own * own[from + i];
    for (const auto& [column, weight] : row.weights) {
      const double* e = batch.score(column) + from;
      for (std::size_t i = 0; i < part.size(); ++i) part[i] += weight * e[i];
    }
    (*inputs_)[slot].law.law().fill_at_scores(part, x + from);
  }
  batch.hold((*inputs_)[slot], slot, n);
}

void JointSampler::draw_points(const Stream& stream, std::size_t first, std::span<double> u,
                               CaseBatch& batch) const {
  const auto points = [&](std::size_t d, std::span<double> to) {
    scrambled_sobol(static_cast<std::uint32_t>(first), d, stream.of_dimension(d), to);
  };
  draw_all(u, points, batch);
}

void JointSampler::draw_crude(Xoshiro& points, std::size_t n, CaseBatch& batch) const {
  for (std::size_t order = 0; order < size(); ++order) {
    const std::size_t slot = slots_[order];
    const Input& input = (*inputs_)[slot];
    const std::span<double> u(batch.column(slot), batch.capacity());
    points.fill(u);
    if (correlated(order)) {
      draw(order, 0.0, {u}, batch);
    } else {
      distributions::quantile(input.law, u, u);
      batch.hold(input, slot, n);
    }
  }
}

JointSampler sampler_of_all(const CaseInputs& inputs, std::optional<std::size_t> last) {
  std::vector<std::size_t> slots = inputs.uncertain(inputs.size());
  if (last && score_row(inputs, {}, *last).correlated) {
    slots = inputs.uncertain(*last);
    slots.push_back(*last);
  }
  return {inputs, std::move(slots)};
}

}  // namespace blendrisk::sampling
