#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "estimate/interval.hpp"
#include "estimate/landing.hpp"
#include "sampling/lean.hpp"
#include "sampling/seeds.hpp"

/// The chance of an event as the mean of a conditional chance over scrambled Sobol' points.
namespace blendrisk::estimate {

/// What is averaged: the chance of the event given all inputs of a case but those that it
/// integrates itself.
class Integrand {
 public:
  Integrand() = default;
  Integrand(const Integrand&) = delete;
  Integrand& operator=(const Integrand&) = delete;
  virtual ~Integrand() = default;

  /// f[i] in [0, 1] for the first f.size() cases. `nearness`, where not empty, is greater the
  /// nearer a case is to the event, also where f is 0.
  virtual void evaluate(const sampling::CaseBatch& batch, LandingColumns& columns,
                        std::span<double> f, std::span<double> nearness) const = 0;
};

/// An integrand with the inputs that it needs drawn.
struct Problem {
  const sampling::CaseInputs* inputs;
  std::vector<std::size_t> slots;
  const Integrand* integrand;
  std::uint64_t seed;
  sampling::Purpose purpose;
  /// The most points of a round.
  std::uint64_t budget = std::uint64_t{1} << 27U;
};

/// Columns for one batch of points, allocated once and used again by every run.
class Workspace {
 public:
  static constexpr std::size_t k_capacity = 512;
  explicit Workspace(const sampling::CaseInputs& inputs);

  sampling::CaseBatch batch;
  LandingColumns columns;
  std::vector<double> u, leaned, log_ratio, f, nearness;
  std::vector<std::uint32_t> digits;
};

/// The mixture of points: for every eight of the leaned law one of the inputs' own, so that no
/// weight is above 9.
inline constexpr double k_own_share = 1.0 / 9.0;

/// How many points: 2^log2_points leaned ones and an eighth as many of the inputs' own law in each
/// replicate; without a lean 2^log2_points of the own law.
struct Size {
  unsigned replicates = 16;
  unsigned log2_points = 4;
};
std::uint64_t points_in(const Size& size, bool leaned);

/// One round: the mean of each replicate.
struct Round {
  std::vector<double> means;
  std::uint64_t evaluations = 0;
  /// (Σ w f)² / Σ (w f)² over all points, as a share of their number: how evenly they carry the
  /// sum.
  double effective_share = 0.0;
};

/// @param strengths of the lean in the order of problem.slots, or empty
/// @param round     names the scrambling: another round has other points
/// @param tell      called with the evaluations done so far in this round, from this thread
Round run_round(const Problem& problem, const sampling::Strengths& strengths, const Size& size,
                std::uint64_t round, unsigned threads, Workspace& workspace,
                const std::function<void(std::uint64_t)>& tell);

}  // namespace blendrisk::estimate
