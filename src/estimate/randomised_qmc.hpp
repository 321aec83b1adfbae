#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "estimate/blend_columns.hpp"
#include "estimate/interval.hpp"
#include "sampling/joint_sampler.hpp"
#include "sampling/random_streams.hpp"
#include "sampling/score_mixture.hpp"

/// The chance of an event as the mean of a conditional chance over scrambled Sobol' points.
namespace blendrisk::estimate {

class FitsNearby;
struct NearbyFit;

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
  virtual void evaluate(sampling::CaseBatch& batch, BlendColumns& columns, std::span<double> f,
                        std::span<double> limit_state) const = 0;
};

/// The most points that a round of an estimate has.
inline constexpr std::uint64_t k_largest_round = std::uint64_t{1} << 27U;

/// An integrand with the inputs that it needs drawn.
struct Problem {
  sampling::JointSampler sampler;
  const Integrand* integrand;
  std::uint64_t seed;
  sampling::Purpose purpose;
  /// The most points of a round.
  std::uint64_t budget = k_largest_round;
  /// The risk that the chance is held against, 0: none. Where no point shows a chance at all, there
  /// are as many as it takes to bound it by that.
  double risk = 0.0;
  /// The chance of what is known, where the integrand is that of the event and of what is known:
  /// what is told is its share of that.
  std::optional<Known> known{};
  /// Where mixtures of problems like this one are taken from and put; none: each is fitted anew.
  FitsNearby* nearby = nullptr;

  const sampling::CaseInputs& inputs() const { return sampler.inputs(); }
  /// How many inputs are drawn.
  std::size_t size() const { return sampler.size(); }
};

/// Columns for one batch of points, allocated once and used again by every run.
class Workspace {
 public:
  static constexpr std::size_t k_capacity = 512;
  explicit Workspace(const sampling::CaseInputs& inputs);

  sampling::CaseBatch batch;
  BlendColumns columns;
  std::vector<double> u, tilted, log_ratio, ratio, f, limit_state;
  std::vector<std::uint32_t> digits;
  sampling::Scores scores;  ///< where points are drawn by their scores
};

/// How the points of a replicate are mixed. Neither: the inputs' own law.
///
/// With log-concave laws misses are likely in one place, which one tilt finds: for eight tilted
/// points there is one of the inputs' own, and no weight is above 9. Others (heavy tails, rare
/// values, several ways to miss) are drawn from a mixture of normal laws of their scores, which has
/// the inputs' own law among its parts. Every point counts by the square of its part's density
/// among those of all (the power heuristic; E. Veach, L. J. Guibas, SIGGRAPH 1995; from memory).
struct Mixture {
  struct Part {
    sampling::Component component;
    unsigned halvings = 0;  ///< it has 2^-halvings of the points of the largest
  };
  sampling::Strengths strengths;  ///< of the tilt in the order of the sampler, or empty
  std::vector<Part> parts;        ///< or empty

  bool tilted() const { return !strengths.empty() || !parts.empty(); }
  /// The smallest log2_points at which every part has a point.
  unsigned least_log2() const;
};

/// A fitted mixture: without tilt and parts where none could be fitted.
struct Fit {
  Mixture mixture;
  std::uint64_t evaluations = 0;
  const NearbyFit* nearby = nullptr;  ///< as it is among those of Problem::nearby
  bool taken = false;                 ///< from there: fitted to another problem
};

/// 2^log2_points of the largest part in each replicate.
struct Size {
  unsigned replicates = 16;
  unsigned log2_points = 4;

  bool operator==(const Size&) const = default;
};
std::uint64_t points_in(const Size& size, const Mixture& mixture);

/// One round: the mean of each replicate.
struct Round {
  std::vector<double> means;
  std::uint64_t evaluations = 0;
  /// (Σ w f)² / Σ (w f)² over all points, as a share of their number: how evenly they carry the
  /// sum.
  double effective_share = 0.0;
};

/// @param round     names the scrambling: another round has other points
/// @param tell      called with the evaluations done so far in this round, from this thread
Round run_round(const Problem& problem, const Mixture& mixture, const Size& size,
                std::uint64_t round, unsigned threads, Workspace& workspace,
                const std::function<void(std::uint64_t)>& tell);

/// The points of a round, drawn once for many looks in the caller's thread: what is drawn does not
/// depend on amounts and readings (sampling::Question).
class DrawnRound {
 public:
  DrawnRound(const Problem& problem, Mixture mixture, const Size& size, std::uint64_t round,
             Workspace& workspace);
  ~DrawnRound();

  /// What run_round tells, to the last digit, of the same problem but for such numbers.
  ///
  /// Of one in which some of these inputs are known, and the others drawn as here, they are cases
  /// too: the weights hold whatever is not looked at. @pre serves(problem)
  Round look(const Problem& problem, Workspace& workspace) const;
  /// Whether the inputs of a problem are among those drawn, by the same laws.
  bool serves(const Problem& problem) const;
  const Size& size() const { return size_; }
  std::uint64_t number() const { return round_; }
  /// How many numbers it keeps.
  std::size_t values() const;

 private:
  struct Drawn;
  Mixture mixture_;
  std::vector<std::size_t> slots_;  ///< of the inputs that are drawn
  std::size_t scores_;              ///< of correlated ones
  Size size_;
  std::uint64_t round_;
  std::unique_ptr<Drawn> drawn_;
};

/// A rough chance, by a few points of the own law.
double rough_chance(const Problem& problem, Workspace& workspace, std::uint64_t& evaluations);

/// A miss as likely as this needs no importance sampling.
inline constexpr double k_common = 0.1;

/// Whether points of the own law do as well for a chance of about this as those of a mixture, and
/// spare its fit. Never with log-concave laws, whose tilt costs next to nothing.
bool is_common(const Problem& problem, double chance);

}  // namespace blendrisk::estimate
