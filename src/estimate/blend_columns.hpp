#pragma once

#include <algorithm>
#include <cstddef>

#include "models/blend_batch.hpp"
#include "models/columns.hpp"

namespace blendrisk::estimate {

/// Working columns of a batch, allocated once.
class BlendColumns {
 public:
  explicit BlendColumns(std::size_t capacity) : values_(capacity, k_count) {
    std::fill_n(column(k_ones), capacity, 1.0);
    std::fill_n(column(k_unbounded), capacity, 1e12);
  }

  double* a() { return column(0); }              ///< the rest of the landed content
  double* b() { return column(1); }              ///< share of the conditioned content, >= 0
  double* heel() { return column(2); }           ///< before the last fill [L]
  double* total() { return column(3); }          ///< after it [L]
  double* short_l() { return column(4); }        ///< of the last fill, see models::FillParts
  double* earlier_total() { return column(5); }  ///< before the last driving [L]; several fills
  models::PartsColumns parts() {                 ///< of the last fill
    return {total(), column(6), column(7), column(8), short_l()};
  }
  double* centre() { return column(11); }  ///< of a score given the others, see ConditionalLaw
  /// Of cases of which something is known: the chance of that given the case; see
  /// tank::DispenserEvidence.
  double* weight() { return column(12); }
  /// How far such a case lies from what is likely: the sum of squared scores.
  double* misfit() { return column(13); }
  double* from() { return column(14); }  ///< what a figure may be rounded from
  double* to() { return column(15); }
  double* low() { return column(16); }
  double* high() { return column(17); }
  const double* unbounded() { return column(k_unbounded); }  ///< more than any volume
  const double* zeros() { return column(k_zeros); }
  const double* ones() { return column(k_ones); }

 private:
  static constexpr std::size_t k_zeros = 9, k_ones = 10, k_unbounded = 18, k_count = 19;
  double* column(std::size_t i) { return values_.column(i); }
  models::Columns values_;
};

}  // namespace blendrisk::estimate
