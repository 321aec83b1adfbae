#include "estimate/randomised_qmc.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "estimate/parallel.hpp"
#include "estimate/point_plan.hpp"
#include "numeric/target_clones.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/sobol.hpp"

namespace blendrisk::estimate {
namespace {

constexpr std::size_t k_capacity = Workspace::k_capacity;
/// Rounds below this many points run in the caller's thread: starting another takes as long.
constexpr std::uint64_t k_worth_threads = 1U << 15U;
/// Batches between two calls of `tell`.
constexpr std::size_t k_wave_loads = 2048;

/// Of one segment.
struct LoadSums {
  double f = 0.0;
  double f_squared = 0.0;
};

// Mixture density / own density, from the ratio of the tilted to the own density.
BLENDRISK_CLONES void mixed_loop(double* ratio, const double* tilted, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) ratio[i] = 1.0 / 9.0 + 8.0 / 9.0 * tilted[i];
}

BLENDRISK_CLONES void divide_by_loop(double* f, const double* ratio, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) f[i] = f[i] / ratio[i];
}

// of[i] ← share of[i], sum[i] += its square.
BLENDRISK_CLONES void add_square_loop(double* of, double share, double* sum, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    of[i] *= share;
    sum[i] += of[i] * of[i];
  }
}

class Worker {
 public:
  Worker(const Problem& problem, const Mixture& mixture, const Plan& plan,
         const sampling::Stream& stream, Workspace& space, std::vector<LoadSums>& sums)
      : problem_(problem),
        mixture_(mixture),
        plan_(plan),
        stream_(stream),
        space_(space),
        sums_(sums) {}

  void operator()(std::size_t load) {
    draw(load);
    look(load);
  }

  std::size_t points(std::size_t load) const {
    std::size_t n = 0;
    for (const Segment& segment : segments_of(load)) n += segment.count;
    return n;
  }

  /// Puts the cases into the batch of the workspace, and what weighs them into its ratio.
  void draw(std::size_t load) {
    const std::span<const Segment> segments = segments_of(load);
    const std::size_t n = points(load);
    if (mixture_.parts.empty()) {
      draw_tilted(segments, n);
    } else {
      draw_scores(segments, n);
    }
    weigh(segments, n);
  }

  /// The integrand at these.
  void look(std::size_t load) {
    const std::span<const Segment> segments = segments_of(load);
    const std::span<double> f(space_.f.data(), points(load));
    problem_.integrand->evaluate(space_.batch, space_.columns, f, {});
    if (mixture_.tilted()) divide_by_loop(f.data(), space_.ratio.data(), f.size());
    std::size_t at = 0;
    for (std::size_t s = 0; s < segments.size(); ++s) {
      const std::size_t count = segments[s].count;
      LoadSums sums{numeric::sum(f.subspan(at, count)), 0.0};
      for (std::size_t i = at; i < at + count; ++i) sums.f_squared += f[i] * f[i];
      sums_[plan_.loads[load].from + s] = sums;
      at += count;
    }
  }

 private:
  std::span<const Segment> segments_of(std::size_t load) const {
    const auto [from, to] = plan_.loads[load];
    return std::span(plan_.segments).subspan(from, to - from);
  }

  void draw_tilted(std::span<const Segment> segments, std::size_t n) {
    std::size_t at = 0;
    for (const Segment& segment : segments) {
      const bool tilts = segment.part == 0 && mixture_.tilted();
      std::fill_n(space_.tilted.data() + at, segment.count, tilts ? 1.0 : 0.0);
      at += segment.count;
    }
    const auto first = [n](std::vector<double>& column) { return std::span(column).first(n); };
    std::fill_n(space_.log_ratio.begin(), n, 0.0);
    problem_.sampler.draw_tilted(
        mixture_.strengths,
        [&](std::size_t d) {
          uniforms_of(segments, d, first(space_.u));
          return sampling::Draws{first(space_.u), first(space_.tilted), first(space_.log_ratio)};
        },
        space_.batch);
  }

  void draw_scores(std::span<const Segment> segments, std::size_t n) {
    for (std::size_t d = 0; d < problem_.size(); ++d) {
      const std::span<double> z = space_.scores.row(d).first(n);
      uniforms_of(segments, d, z);
      std::size_t at = 0;
      for (const Segment& segment : segments) {
        sampling::take_scores(mixture_.parts[segment.part].component, d,
                              z.subspan(at, segment.count));
        at += segment.count;
      }
      problem_.sampler.place(d, z, space_.batch);
    }
  }

  /// Uniforms of input d for all points of the batch.
  void uniforms_of(std::span<const Segment> segments, std::size_t d, std::span<double> u) {
    std::size_t at = 0;
    std::span<const std::uint32_t> digits;
    std::uint32_t digits_first = 1;  // none yet
    for (const Segment& segment : segments) {
      if (segment.first != digits_first || segment.count > digits.size()) {
        const std::span<std::uint32_t> fresh(space_.digits.data(), segment.count);
        sampling::sobol_digits(segment.first, d, fresh);
        digits = fresh;
        digits_first = segment.first;
      }
      sampling::scramble(digits.first(segment.count), key_of(segment, d),
                         u.subspan(at, segment.count));
      at += segment.count;
    }
  }

  std::uint64_t key_of(const Segment& segment, std::size_t dimension) const {
    // At least 3, so that a tilt's points do not depend on what a mixture has.
    const std::uint64_t parts = std::max<std::uint64_t>(3, mixture_.parts.size());
    return stream_.of_dimension_in(segment.replicate * parts + segment.part, dimension);
  }

  void weigh(std::span<const Segment> segments, std::size_t n) {
    const std::span<double> ratio(space_.ratio.data(), n);
    const std::span<double> scratch(space_.log_ratio.data(), n);
    if (!mixture_.parts.empty()) {
      weigh_parts(segments, ratio, scratch);
    } else if (mixture_.tilted()) {
      numeric::exp(scratch, scratch);
      mixed_loop(ratio.data(), scratch.data(), n);
    }
  }

  /// By the mixture's density alone the few points of a wide part that fall among a fitted one's
  /// would count as much as those, and leave the means of replicates skew.
  void weigh_parts(std::span<const Segment> segments, std::span<double> ratio,
                   std::span<double> scratch) {
    const std::span<double> own(space_.tilted.data(), ratio.size());
    std::fill(ratio.begin(), ratio.end(), 0.0);
    for (std::size_t k = 0; k < mixture_.parts.size(); ++k) {
      sampling::ratio_of(mixture_.parts[k].component, space_.scores, scratch);
      add_square_loop(scratch.data(), plan_.shares[k], ratio.data(), ratio.size());
      std::size_t at = 0;
      for (const Segment& segment : segments) {
        if (segment.part == k) std::copy_n(scratch.data() + at, segment.count, own.data() + at);
        at += segment.count;
      }
    }
    divide_by_loop(ratio.data(), own.data(), ratio.size());
  }

  const Problem& problem_;
  const Mixture& mixture_;
  const Plan& plan_;
  sampling::Stream stream_;
  Workspace& space_;
  std::vector<LoadSums>& sums_;
};

/// Means of replicates from the sums of their segments.
Round told(const Plan& plan, const Size& size, std::uint64_t points,
           const std::vector<LoadSums>& sums) {
  Round result;
  result.evaluations = points;
  result.means.assign(size.replicates, 0.0);
  LoadSums all;
  for (std::size_t s = 0; s < sums.size(); ++s) {
    result.means[plan.segments[s].replicate] += sums[s].f;
    all.f += sums[s].f;
    all.f_squared += sums[s].f_squared;
  }
  const auto count = static_cast<double>(points);
  for (double& mean : result.means) mean *= static_cast<double>(size.replicates) / count;
  if (all.f_squared > 0.0) result.effective_share = all.f * (all.f / all.f_squared) / count;
  return result;
}

}  // namespace

Workspace::Workspace(const sampling::CaseInputs& inputs)
    : batch(inputs, k_capacity),
      columns(k_capacity),
      u(k_capacity),
      tilted(k_capacity),
      log_ratio(k_capacity),
      ratio(k_capacity),
      f(k_capacity),
      limit_state(k_capacity),
      digits(k_capacity),
      scores(inputs.uncertain(inputs.size()).size(), k_capacity) {}

Round run_round(const Problem& problem, const Mixture& mixture, const Size& size,
                std::uint64_t round, unsigned threads, Workspace& workspace,
                const std::function<void(std::uint64_t)>& tell) {
  assert(size.log2_points >= mixture.least_log2());
  const Plan plan = plan_of(size, mixture);
  const sampling::Stream stream(problem.seed, problem.purpose, round);
  std::vector<LoadSums> sums(plan.segments.size());
  const std::uint64_t points = points_in(size, mixture);
  if (points < k_worth_threads || thread_count(threads) == 1) {
    Worker worker(problem, mixture, plan, stream, workspace, sums);
    for (std::size_t load = 0; load < plan.loads.size(); ++load) {
      worker(load);
      if (tell && (load + 1) % k_wave_loads == 0) tell((load + 1) * k_capacity);
    }
  } else {
    for (std::size_t from = 0; from < plan.loads.size(); from += k_wave_loads) {
      const std::size_t loads = std::min(k_wave_loads, plan.loads.size() - from);
      in_parallel(loads, threads, [&] {
        return [&, from, space = std::make_unique<Workspace>(problem.inputs())](std::size_t load) {
          Worker(problem, mixture, plan, stream, *space, sums)(from + load);
        };
      });
      if (tell) tell((from + loads) * k_capacity);
    }
  }
  return told(plan, size, points, sums);
}

struct DrawnRound::Drawn {
  Plan plan;
  std::vector<double> values;  ///< load by load: every input drawn, its scores, and the ratio
};

DrawnRound::DrawnRound(const Problem& problem, Mixture mixture, const Size& size,
                       std::uint64_t round, Workspace& workspace)
    : mixture_(std::move(mixture)),
      slots_(problem.sampler.slots()),
      scores_(problem.inputs().correlations().slots.size()),
      size_(size),
      round_(round),
      drawn_(std::make_unique<Drawn>(Drawn{plan_of(size, mixture_), {}})) {
  const sampling::Stream stream(problem.seed, problem.purpose, round);
  std::vector<LoadSums> none;
  Worker worker(problem, mixture_, drawn_->plan, stream, workspace, none);
  const std::size_t rows = slots_.size() + scores_ + (mixture_.tilted() ? 1 : 0);
  std::vector<double>& values = drawn_->values;
  values.reserve(rows * points_in(size_, mixture_));
  for (std::size_t load = 0; load < drawn_->plan.loads.size(); ++load) {
    worker.draw(load);
    const std::size_t n = worker.points(load);
    const auto keep = [&](const double* column) {
      values.insert(values.end(), column, column + n);
    };
    for (const std::size_t slot : slots_) keep(workspace.batch.column(slot));
    for (std::size_t i = 0; i < scores_; ++i) keep(workspace.batch.score(i));
    if (mixture_.tilted()) keep(workspace.ratio.data());
  }
}

DrawnRound::~DrawnRound() = default;

std::size_t DrawnRound::values() const {
  return drawn_->values.size();
}

bool DrawnRound::serves(const Problem& problem) const {
  const std::vector<std::size_t>& slots = problem.sampler.slots();
  if (slots == slots_) return problem.inputs().correlations().slots.size() == scores_;
  return scores_ == 0 && problem.inputs().correlations().slots.empty() &&
         std::includes(slots_.begin(), slots_.end(), slots.begin(), slots.end());
}

Round DrawnRound::look(const Problem& problem, Workspace& workspace) const {
  assert(serves(problem));
  std::vector<LoadSums> sums(drawn_->plan.segments.size());
  Worker worker(problem, mixture_, drawn_->plan, {0, problem.purpose}, workspace, sums);
  const std::vector<std::size_t>& slots = problem.sampler.slots();
  const double* from = drawn_->values.data();
  for (std::size_t load = 0; load < drawn_->plan.loads.size(); ++load) {
    const std::size_t n = worker.points(load);
    const auto take = [&](double* column) {
      if (column != nullptr) std::copy_n(from, n, column);
      from += n;
    };
    for (const std::size_t slot : slots_) {
      const bool is_drawn = std::binary_search(slots.begin(), slots.end(), slot);
      take(is_drawn ? workspace.batch.column(slot) : nullptr);
    }
    for (std::size_t i = 0; i < scores_; ++i) take(workspace.batch.score(i));
    if (mixture_.tilted()) take(workspace.ratio.data());
    worker.look(load);
  }
  return told(drawn_->plan, size_, points_in(size_, mixture_), sums);
}

double rough_chance(const Problem& problem, Workspace& workspace, std::uint64_t& evaluations) {
  const Size size{1, 6};
  const Mixture own;
  evaluations += points_in(size, own);
  return run_round(problem, own, size, sampling::k_likelier_round, 1, workspace, {}).means[0];
}

bool is_common(const Problem& problem, double chance) {
  return !problem.inputs().log_concave() && chance > k_common;
}

}  // namespace blendrisk::estimate
