#include "estimate/replicates.hpp"

#include <algorithm>
#include <bit>

#include "estimate/parallel.hpp"
#include "models/clones.hpp"
#include "numeric/arrays.hpp"
#include "sampling/sobol.hpp"

namespace blendrisk::estimate {
namespace {

constexpr std::size_t kCapacity = Workspace::k_capacity;
/// Rounds below this many points run in the caller's thread: starting another takes as long.
constexpr std::uint64_t kWorthThreads = 1U << 15U;
/// Batches between two calls of `tell`.
constexpr std::size_t kWave = 2048;

/// Consecutive points of one set (leaned or own) of one replicate.
struct Segment {
  std::uint32_t replicate;
  bool leaned;
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

void add_set(Plan& plan, std::uint32_t replicate, bool leaned, std::uint64_t points) {
  for (std::uint64_t first = 0; first < points; first += kCapacity) {
    const std::uint64_t count = std::min<std::uint64_t>(kCapacity, points - first);
    plan.segments.push_back(
        {replicate, leaned, static_cast<std::uint32_t>(first), static_cast<std::uint32_t>(count)});
  }
}

Plan plan_of(const Size& size, bool with_lean) {
  Plan plan;
  const std::uint64_t points = std::uint64_t{1} << size.log2_points;
  for (std::uint32_t r = 0; r < size.replicates; ++r) {
    add_set(plan, r, with_lean, points);
    if (with_lean) add_set(plan, r, false, points / 8);
  }
  std::size_t filled = kCapacity;
  for (std::size_t s = 0; s < plan.segments.size(); ++s) {
    const std::size_t count = plan.segments[s].count;
    if (filled + count > kCapacity) {
      plan.loads.push_back({s, s});
      filled = 0;
    }
    plan.loads.back().to = s + 1;
    filled += count;
  }
  return plan;
}

/// Of one segment.
struct Sums {
  double f = 0.0;
  double f_squared = 0.0;
};

// f[i] ← w f, w = own density / mixture density.
BLENDRISK_CLONES void weight_loop(double* f, const double* ratio, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    f[i] = f[i] / (k_own_share + (1.0 - k_own_share) * ratio[i]);
  }
}

class Worker {
 public:
  Worker(const Problem& problem, const sampling::Strengths& strengths, const Plan& plan,
         std::uint64_t key, Workspace& space, std::vector<Sums>& sums)
      : problem_(problem),
        strengths_(strengths),
        plan_(plan),
        key_(key),
        space_(space),
        sums_(sums) {}

  void operator()(std::size_t load) {
    const Load& segments = plan_.loads[load];
    const std::size_t n = mark_leaned(segments);
    std::fill_n(space_.log_ratio.begin(), n, 0.0);
    for (std::size_t d = 0; d < problem_.slots.size(); ++d) draw(segments, d, n);
    const std::span<double> f(space_.f.data(), n);
    problem_.integrand->evaluate(space_.batch, space_.columns, f, {});
    if (!strengths_.empty()) {
      const std::span<double> ratio(space_.log_ratio.data(), n);
      numeric::exp(ratio, ratio);
      weight_loop(f.data(), ratio.data(), n);
    }
    std::size_t at = 0;
    for (std::size_t s = segments.from; s < segments.to; ++s) {
      const std::size_t count = plan_.segments[s].count;
      Sums sums{numeric::sum(f.subspan(at, count)), 0.0};
      for (std::size_t i = at; i < at + count; ++i) sums.f_squared += f[i] * f[i];
      sums_[s] = sums;
      at += count;
    }
  }

 private:
  std::size_t mark_leaned(const Load& segments) {
    std::size_t n = 0;
    for (std::size_t s = segments.from; s < segments.to; ++s) {
      const Segment& segment = plan_.segments[s];
      std::fill_n(space_.leaned.begin() + static_cast<std::ptrdiff_t>(n), segment.count,
                  segment.leaned ? 1.0 : 0.0);
      n += segment.count;
    }
    return n;
  }

  void draw(const Load& segments, std::size_t d, std::size_t n) {
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
      const std::uint64_t name = (std::uint64_t{segment.replicate} * 2 + (segment.leaned ? 1 : 0)) *
                                     sampling::k_max_dimensions +
                                 d;
      sampling::scramble(digits.first(segment.count), key_ ^ sampling::mixed(name),
                         {space_.u.data() + at, segment.count});
      at += segment.count;
    }
    sampling::draw_input(*problem_.inputs, problem_.slots[d], {space_.u.data(), n},
                         {space_.leaned.data(), n}, strengths_.empty() ? 0.0 : strengths_[d],
                         {space_.log_ratio.data(), n}, space_.batch);
  }

  const Problem& problem_;
  const sampling::Strengths& strengths_;
  const Plan& plan_;
  std::uint64_t key_;
  Workspace& space_;
  std::vector<Sums>& sums_;
};

}  // namespace

Workspace::Workspace(const sampling::CaseInputs& inputs)
    : batch(inputs, k_capacity),
      columns(k_capacity),
      u(k_capacity),
      leaned(k_capacity),
      log_ratio(k_capacity),
      f(k_capacity),
      nearness(k_capacity),
      digits(k_capacity) {}

std::uint64_t points_in(const Size& size, bool leaned) {
  const std::uint64_t points = std::uint64_t{1} << size.log2_points;
  return size.replicates * (points + (leaned ? points / 8 : 0));
}

Round run_round(const Problem& problem, const sampling::Strengths& strengths, const Size& size,
                std::uint64_t round, unsigned threads, Workspace& workspace,
                const std::function<void(std::uint64_t)>& tell) {
  const bool leaned = !strengths.empty();
  const Plan plan = plan_of(size, leaned);
  const std::uint64_t key =
      sampling::stream_key({problem.seed, static_cast<std::uint64_t>(problem.purpose), round});
  std::vector<Sums> sums(plan.segments.size());
  Round result;
  result.evaluations = points_in(size, leaned);
  if (result.evaluations < kWorthThreads || thread_count(threads) == 1) {
    Worker worker(problem, strengths, plan, key, workspace, sums);
    for (std::size_t load = 0; load < plan.loads.size(); ++load) {
      worker(load);
      if (tell && (load + 1) % kWave == 0) tell((load + 1) * kCapacity);
    }
  } else {
    for (std::size_t from = 0; from < plan.loads.size(); from += kWave) {
      const std::size_t loads = std::min(kWave, plan.loads.size() - from);
      in_parallel(loads, threads, [&] {
        return [&, from, space = std::make_unique<Workspace>(*problem.inputs)](std::size_t load) {
          Worker(problem, strengths, plan, key, *space, sums)(from + load);
        };
      });
      if (tell) tell((from + loads) * kCapacity);
    }
  }
  result.means.assign(size.replicates, 0.0);
  Sums all;
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
