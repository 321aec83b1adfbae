#pragma once

#include <vector>

#include "sampling/given_others.hpp"
#include "sampling/lean.hpp"

namespace blendrisk::sampling {

/// Draws inputs of cases one after the other, correlated ones given those before them. What is
/// drawn, leaned and stretched are independent coordinates: ratios of densities multiply as for
/// independent inputs.
class Drawer {
 public:
  /// @param inputs  has to outlive this
  Drawer(const CaseInputs& inputs, std::vector<std::size_t> slots);

  const CaseInputs& inputs() const { return *inputs_; }
  const std::vector<std::size_t>& slots() const { return slots_; }
  std::size_t size() const { return slots_.size(); }
  bool empty() const { return slots_.empty(); }

  /// The coordinate in which the `order`-th input leans: of a correlated one its own part of the
  /// normal score.
  Coordinate coordinate(std::size_t order) const;
  bool correlated(std::size_t order) const { return rows_[order].correlated; }

  /// Draws the `order`-th input from its uniforms, after those before it; see draw_input.
  void draw(std::size_t order, double strength, const Draws& draws, CaseBatch& batch) const;

  /// Without a lean: u is used up.
  void draw(std::size_t order, std::span<double> u, CaseBatch& batch) const {
    draw(order, 0.0, {u, {}, {}, {}, {}}, batch);
  }

 private:
  const CaseInputs* inputs_;
  std::vector<std::size_t> slots_;
  std::vector<ScoreRow> rows_;
};

/// All uncertain inputs in the order of their slots; where `last` is correlated it comes last, so
/// that the others' scores do not depend on it.
Drawer drawer_of_all(const CaseInputs& inputs, std::optional<std::size_t> last = {});

}  // namespace blendrisk::sampling
