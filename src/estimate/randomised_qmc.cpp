#include "estimate/randomised_qmc.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "estimate/parallel.hpp"
#include "models/target_clones.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/sobol.hpp"

namespace blendrisk::estimate {
namespace {

constexpr std::size_t k_capacity = Workspace::k_capacity;
/// Rounds below this many points run in the caller's thread: starting another takes as long.
constexpr std::uint64_t k_worth_threads = 1U << 15U;
/// Batches between two calls of `tell`.
constexpr std::size_t k_wave_loads = 2048;

enum class Set : std::uint8_t { main, own, stretched };

/// Consecutive points of one set of one replicate.
struct Segment {
  std::uint32_t replicate;
  Set set;
  std::uint32_t first;
  std::uint32_t count;
};

/// Segments [from, to) that share a batch.
struct Load {
  std::size_t from, to;
};

struct Plan {
  std::vector<Segment> segments;
  std::vector<Load> loads;
};

void add_set(Plan& plan, std::uint32_t replicate, Set set, std::uint64_t points) {
  for (std::uint64_t first = 0; first < points; first += k_capacity) {
    const std::uint64_t count = std::min<std::uint64_t>(k_capacity, points - first);
    plan.segments.push_back(
        {replicate, set, static_cast<std::uint32_t>(first), static_cast<std::uint32_t>(count)});
  }
}

Plan plan_of(const Size& size, const Mixture& mixture) {
  Plan plan;
  const std::uint64_t points = std::uint64_t{1} << size.log2_points;
  for (std::uint32_t r = 0; r < size.replicates; ++r) {
    add_set(plan, r, Set::main, points);
    if (mixture.tilted()) add_set(plan, r, Set::own, points / 8);
    if (mixture.stretch) add_set(plan, r, Set::stretched, points / 8);
  }
  std::size_t filled = k_capacity;
  for (std::size_t s = 0; s < plan.segments.size(); ++s) {
    const std::size_t count = plan.segments[s].count;
    if (filled + count > k_capacity) {
      plan.loads.push_back({s, s});
      filled = 0;
    }
    plan.loads.back().to = s + 1;
    filled += count;
  }
  return plan;
}

/// Of one segment.
struct LoadSums {
  double f = 0.0;
  double f_squared = 0.0;
};

// f[i] ← w f, w = own density / mixture density, from the ratios of each part to the own density.
BLENDRISK_CLONES void weight_loop(double* f, const double* tilted, const double* stretch,
                                  double own, double main, double stretched, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    f[i] = f[i] / (own + main * tilted[i] + stretched * stretch[i]);
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
    const Load& segments = plan_.loads[load];
    const std::size_t n = mark(segments);
    std::fill_n(space_.log_ratio.begin(), n, 0.0);
    std::fill_n(space_.stretch.begin(), n, 0.0);
    problem_.sampler.draw_tilted(
        mixture_.strengths, [&](std::size_t d) { return draws_of(segments, d, n); }, space_.batch);
    const std::span<double> f(space_.f.data(), n);
    problem_.integrand->evaluate(space_.batch, space_.columns, f, {});
    weight(f);
    std::size_t at = 0;
    for (std::size_t s = segments.from; s < segments.to; ++s) {
      const std::size_t count = plan_.segments[s].count;
      LoadSums sums{numeric::sum(f.subspan(at, count)), 0.0};
      for (std::size_t i = at; i < at + count; ++i) sums.f_squared += f[i] * f[i];
      sums_[s] = sums;
      at += count;
    }
  }

 private:
  /// Says of each point of the batch which law it is drawn from. @return their number
  std::size_t mark(const Load& segments) {
    const auto inputs = static_cast<double>(problem_.size());
    std::size_t at = 0;
    for (std::size_t s = segments.from; s < segments.to; ++s) {
      const Segment& segment = plan_.segments[s];
      const std::size_t count = segment.count;
      const bool tilts = segment.set == Set::main && mixture_.tilted();
      std::fill_n(space_.tilted.data() + at, count, tilts ? 1.0 : 0.0);
      double* which = space_.stretched.data() + at;
      if (segment.set == Set::stretched) {
        // One more dimension says which input it is.
        const std::span<std::uint32_t> digits(space_.digits.data(), count);
        sampling::sobol_digits(segment.first, problem_.size(), digits);
        sampling::scramble(digits, key_of(segment, problem_.size()), {which, count});
        for (std::size_t i = 0; i < count; ++i) which[i] = std::floor(which[i] * inputs);
      } else {
        std::fill_n(which, count, -1.0);
      }
      at += count;
    }
    return at;
  }

  sampling::Draws draws_of(const Load& segments, std::size_t d, std::size_t n) {
    std::size_t at = 0;
    std::span<const std::uint32_t> digits;
    std::uint32_t digits_first = 1;  // none yet
    for (std::size_t s = segments.from; s < segments.to; ++s) {
      const Segment& segment = plan_.segments[s];
      if (segment.first != digits_first || segment.count > digits.size()) {
        const std::span<std::uint32_t> fresh(space_.digits.data(), segment.count);
        sampling::sobol_digits(segment.first, d, fresh);
        digits = fresh;
        digits_first = segment.first;
      }
      sampling::scramble(digits.first(segment.count), key_of(segment, d),
                         {space_.u.data() + at, segment.count});
      at += segment.count;
    }
    const auto first = [n](std::vector<double>& column) { return std::span(column).first(n); };
    const bool stretch = mixture_.stretch;
    return {first(space_.u), first(space_.tilted),
            stretch ? first(space_.stretched) : std::span<double>(), first(space_.log_ratio),
            stretch ? first(space_.stretch) : std::span<double>()};
  }

  std::uint64_t key_of(const Segment& segment, std::size_t dimension) const {
    constexpr std::uint64_t k_apart = 96;  // more than the inputs of any scenario
    return stream_.of_dimension(
        (std::uint64_t{segment.replicate} * 3 + static_cast<std::uint64_t>(segment.set)) * k_apart +
        dimension);
  }

  void weight(std::span<double> f) {
    const bool tilted = mixture_.tilted();
    if (!tilted && !mixture_.stretch) return;
    const std::span<double> ratio(space_.log_ratio.data(), f.size());
    numeric::exp(ratio, ratio);
    const double all = 8.0 + (tilted ? 1.0 : 0.0) + (mixture_.stretch ? 1.0 : 0.0);
    const double own = tilted ? 1.0 : 8.0;
    const double stretched = mixture_.stretch ? 1.0 / static_cast<double>(problem_.size()) : 0.0;
    weight_loop(f.data(), ratio.data(), space_.stretch.data(), own / all, tilted ? 8.0 / all : 0.0,
                stretched / all, f.size());
  }

  const Problem& problem_;
  const Mixture& mixture_;
  const Plan& plan_;
  sampling::Stream stream_;
  Workspace& space_;
  std::vector<LoadSums>& sums_;
};

}  // namespace

Workspace::Workspace(const sampling::CaseInputs& inputs)
    : batch(inputs, k_capacity),
      columns(k_capacity),
      u(k_capacity),
      tilted(k_capacity),
      stretched(k_capacity),
      log_ratio(k_capacity),
      stretch(k_capacity),
      f(k_capacity),
      limit_state(k_capacity),
      digits(k_capacity) {}

Mixture mixture_for(const Problem& problem) {
  return {{}, !problem.inputs().log_concave()};
}

std::uint64_t points_in(const Size& size, const Mixture& mixture) {
  const std::uint64_t points = std::uint64_t{1} << size.log2_points;
  const std::uint64_t others = (mixture.tilted() ? 1U : 0U) + (mixture.stretch ? 1U : 0U);
  return size.replicates * (points + others * (points / 8));
}

Round run_round(const Problem& problem, const Mixture& mixture, const Size& size,
                std::uint64_t round, unsigned threads, Workspace& workspace,
                const std::function<void(std::uint64_t)>& tell) {
  assert(size.log2_points >= 3 || (!mixture.tilted() && !mixture.stretch));
  const Plan plan = plan_of(size, mixture);
  const sampling::Stream stream(problem.seed, problem.purpose, round);
  std::vector<LoadSums> sums(plan.segments.size());
  Round result;
  result.evaluations = points_in(size, mixture);
  if (result.evaluations < k_worth_threads || thread_count(threads) == 1) {
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
  result.means.assign(size.replicates, 0.0);
  LoadSums all;
  for (std::size_t s = 0; s < sums.size(); ++s) {
    result.means[plan.segments[s].replicate] += sums[s].f;
    all.f += sums[s].f;
    all.f_squared += sums[s].f_squared;
  }
  const auto count = static_cast<double>(result.evaluations);
  for (double& mean : result.means) mean *= static_cast<double>(size.replicates) / count;
  if (all.f_squared > 0.0) result.effective_share = all.f * (all.f / all.f_squared) / count;
  return result;
}

}  // namespace blendrisk::estimate
