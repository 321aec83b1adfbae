#pragma once

#include <cstddef>

#include "models/blend_batch.hpp"
#include "sampling/case_inputs.hpp"
#include "scenario/way.hpp"

namespace blendrisk::tank {

/// What the gauge shows before the first fill in every case of a batch [L]: the scenario's reading,
/// less what is burned on the way to the pump where that is still to be driven. It may be negative.
class FirstReading {
 public:
  FirstReading(const sampling::CaseInputs& inputs, const sampling::CaseBatch& batch)
      : indicated_l_(inputs.scenario().heel.indicated_l) {
    if (!scenario::is_on_the_way(inputs.scenario())) return;
    distance_ = batch.column(sampling::Slot::of(scenario::Uncertain::to_pump));
    economy_ = batch.column(sampling::Slot::of(scenario::Uncertain::economy));
  }

  double operator[](std::size_t i) const {
    return distance_ == nullptr ? indicated_l_ : indicated_l_ - distance_[i] * economy_[i];
  }

  /// heel[i] of n cases, held within [0, most].
  void heels(const double* gauge_error, const double* most, double* heel, std::size_t n) const {
    if (distance_ == nullptr) {
      models::heel_volumes(indicated_l_, gauge_error, most, heel, n);
    } else {
      models::heels_after_way(indicated_l_, gauge_error, distance_, economy_, most, heel, n);
    }
  }

 private:
  double indicated_l_;
  const double* distance_ = nullptr;
  const double* economy_ = nullptr;
};

}  // namespace blendrisk::tank
