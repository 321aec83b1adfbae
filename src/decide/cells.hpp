#pragma once

#include <algorithm>
#include <cstddef>
#include <functional>
#include <vector>

#include "estimate/parallel.hpp"
#include "estimate/result.hpp"

/// Many small answers, cell by cell: those of a table or the points of curves.
namespace blendrisk::decide {

/// Told the cells done and to do, from the calling thread; returns false to give up. May be
/// none.
using CellProgress = std::function<bool(std::size_t done, std::size_t all)>;

/// Rows and columns of a grid whose cells are counted row by row.
struct GridShape {
  std::size_t rows = 0, columns = 0;

  std::size_t cells() const { return rows * columns; }
  std::size_t row_of(std::size_t cell) const { return cell / columns; }
  std::size_t column_of(std::size_t cell) const { return cell % columns; }
  std::size_t cell_at(std::size_t row, std::size_t column) const { return row * columns + column; }
};

/// compute(i, options of one thread) for every i in [from, to) on options.threads threads, each
/// cell on one: the same on any number. Empty where progress said to give up. Exceptions are thrown
/// on.
template <class Cell, class Compute>
std::vector<Cell> cells_of(std::size_t from, std::size_t to, const estimate::Options& options,
                           const CellProgress& progress, const Compute& compute) {
  constexpr std::size_t k_wave = 64;  // cells between two words on progress
  estimate::Options single = options;
  single.threads = 1;
  std::vector<Cell> cells(to - from);
  for (std::size_t start = from; start < to; start += k_wave) {
    if (progress && !progress(start - from, to - from)) return {};
    const std::size_t count = std::min(k_wave, to - start);
    estimate::in_parallel(count, options.threads, [&] {
      return [&](std::size_t i) { cells[start - from + i] = compute(start + i, single); };
    });
  }
  if (progress && !progress(to - from, to - from)) return {};
  return cells;
}

}  // namespace blendrisk::decide
