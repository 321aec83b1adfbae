#pragma once

#include <cstddef>
#include <vector>

#include "models/spare_memory.hpp"

namespace blendrisk::models {

/// A batch of cases: rows are cases, columns quantities, each column in one piece.
class Columns {
 public:
  Columns() = default;
  /// All elements 0.
  Columns(std::size_t rows, std::size_t columns) : rows_(rows), values_(rows * columns) {}

  std::size_t rows() const { return rows_; }
  double* column(std::size_t i) { return values_.data() + i * rows_; }
  const double* column(std::size_t i) const { return values_.data() + i * rows_; }

 private:
  std::size_t rows_ = 0;
  std::vector<double, SpareAllocator<double>> values_;
};

}  // namespace blendrisk::models
