#pragma once

#include <vector>

#include "sampling/conditional_law.hpp"
#include "sampling/exponential_tilt.hpp"
#include "sampling/random_streams.hpp"
#include "sampling/xoshiro.hpp"

namespace blendrisk::sampling {

/// Draws inputs of cases one after the other, correlated ones given those before them. What is
/// drawn and tilted are independent coordinates: ratios of densities multiply as for
/// independent inputs.
class JointSampler {
 public:
  /// @param inputs  has to outlive this
  JointSampler(const CaseInputs& inputs, std::vector<std::size_t> slots);

  const CaseInputs& inputs() const { return *inputs_; }
  const std::vector<std::size_t>& slots() const { return slots_; }
  std::size_t size() const { return slots_.size(); }
  bool empty() const { return slots_.empty(); }

  /// The coordinate in which the `order`-th input is tilted: of a correlated one its own part of
  /// the normal score.
  Coordinate coordinate(std::size_t order) const;
  bool correlated(std::size_t order) const { return rows_[order].correlated; }

  /// Draws the `order`-th input from its uniforms, after those before it; see draw_input.
  void draw(std::size_t order, double strength, const Draws& draws, CaseBatch& batch) const;

  /// Sets the `order`-th input of the first z.size() cases from its normal score (of a correlated
  /// one its own part of it), after those before it.
  void place(std::size_t order, std::span<const double> z, CaseBatch& batch) const;

  /// Draws every input, each from the Draws that draws_of(order) makes ready for it.
  /// @param strengths  of the tilt in the order of slots(); empty: none
  template <class DrawsOf>
  void draw_tilted(const Strengths& strengths, const DrawsOf& draws_of, CaseBatch& batch) const {
    for (std::size_t order = 0; order < size(); ++order) {
      draw(order, strengths.empty() ? 0.0 : strengths[order], draws_of(order), batch);
    }
  }
  /// The same from uniforms, without a tilt: uniforms_of(order, u) puts them into u.
  /// @param u  room for those of one input, a number a case; used up
  template <class UniformsOf>
  void draw_all(std::span<double> u, const UniformsOf& uniforms_of, CaseBatch& batch) const {
    const auto draws_of = [&](std::size_t order) {
      uniforms_of(order, u);
      return Draws{u};
    };
    draw_tilted(Strengths(), draws_of, batch);
  }
  /// The same from points number `first` on of a stream.
  void draw_points(const Stream& stream, std::size_t first, std::span<double> u,
                   CaseBatch& batch) const;
  /// The same for the first n cases from the next numbers of a generator, as many for each input as
  /// the batch has cases.
  void draw_crude(Xoshiro& points, std::size_t n, CaseBatch& batch) const;

 private:
  const CaseInputs* inputs_;
  std::vector<std::size_t> slots_;
  std::vector<ScoreRow> rows_;
};

/// All uncertain inputs in the order of their slots; where `last` is correlated it comes last, so
/// that the others' scores do not depend on it.
JointSampler sampler_of_all(const CaseInputs& inputs, std::optional<std::size_t> last = {});

}  // namespace blendrisk::sampling
