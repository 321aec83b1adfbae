#include "line/line_samples.hpp"

#include <algorithm>
#include <cmath>

#include "estimate/parallel.hpp"
#include "estimate/weights.hpp"
#include "models/infinity.hpp"
#include "numeric/solve.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/sobol.hpp"
#include "sampling/xoshiro.hpp"
#include "tank/known.hpp"
#include "tank/landed_distribution.hpp"

namespace blendrisk::line {
namespace {

using sampling::CaseInputs;

constexpr std::size_t k_blocks = 16;

/// Uniforms of one block, dimension by dimension and batch by batch.
class BlockPoints {
 public:
  BlockPoints(const estimate::Options& options, std::uint64_t round, std::size_t block)
      : crude_(options.method == estimate::Method::crude),
        stream_(options.seed, sampling::Purpose::arrival, round, block),
        numbers_(stream_.key()) {}

  void fill(std::size_t first, std::size_t dimension, std::span<double> u) {
    if (crude_) return numbers_.fill(u);
    sampling::scrambled_sobol(static_cast<std::uint32_t>(first), dimension,
                              stream_.of_dimension(dimension), u);
  }

 private:
  bool crude_;
  sampling::Stream stream_;
  sampling::Xoshiro numbers_;
};

/// Draws cases of Scope::line with their landing, and into space.f the noise of one reading each.
class CaseDrawer {
 public:
  explicit CaseDrawer(const CaseInputs& inputs)
      : landing_(inputs, {}), sampler_(sampling::sampler_of_all(inputs)) {}

  /// n cases, those of number `first` on.
  void draw(BlockPoints& points, std::size_t first, std::size_t n,
            estimate::Workspace& space) const {
    const std::span<double> u = uniforms(n, space);
    sampler_.draw_all(
        u.first(n), [&](std::size_t d, std::span<double>) { points.fill(first, d, u); },
        space.batch);
    points.fill(first, sampler_.size(), u);
    numeric::normal_quantile(u.first(n), space.f);
    landing_.evaluate(space.batch, n, space.columns);
  }

  /// use(i, k) for every case k of `count`, i its place in the batch drawn. Where fills are done,
  /// cases are drawn with the chances of what is known as their weights and chosen again by these
  /// (estimate::resampled), each with a noise of its own.
  template <class Use>
  void each(BlockPoints& points, std::size_t count, estimate::Workspace& space,
            const Use& use) const {
    constexpr std::size_t k_batch = estimate::Workspace::k_capacity;
    if (!landing_.inputs().weighted()) {
      for (std::size_t first = 0; first < count; first += k_batch) {
        const std::size_t n = std::min(k_batch, count - first);
        draw(points, first, n, space);
        for (std::size_t i = 0; i < n; ++i) use(i, first + i);
      }
      return;
    }
    std::vector<double> weights;
    std::vector<double> noise;
    estimate::Mass mass;
    const auto enough = [&] {
      return weights.size() >= k_most_times * count ||
             (weights.size() >= count && mass.effective() >= static_cast<double>(count));
    };
    for (std::size_t first = 0; !enough(); first += k_batch) {
      draw(points, first, k_batch, space);
      for (std::size_t i = 0; i < k_batch; ++i) mass.add(space.columns.weight()[i]);
      weights.insert(weights.end(), space.columns.weight(), space.columns.weight() + k_batch);
      noise.insert(noise.end(), space.f.begin(), space.f.begin() + k_batch);
    }
    tank::require_any(landing_.inputs(), mass.sum);
    const std::vector<std::size_t> chosen = estimate::resampled(weights, count);
    std::size_t drawn = 0;
    for (std::size_t k = 0; k < chosen.size(); ++k) {
      for (; drawn <= chosen[k]; drawn += k_batch) {
        if (chosen[k] < drawn + k_batch) draw(points, drawn, k_batch, space);
      }
      const std::size_t i = chosen[k] % k_batch;
      space.f[i] = noise[k];
      use(i, k);
    }
  }

 private:
  /// Points until they are worth as many as are wanted, and at most so many times more.
  static constexpr std::size_t k_most_times = 64;

  static std::span<double> uniforms(std::size_t n, estimate::Workspace& space) {
    return {space.u.data(), (n + 7) / 8 * 8};  // what streams come in
  }

  tank::LinearBlend landing_;
  sampling::JointSampler sampler_;
};

/// Follows the cases of one batch through the line.
class Follower {
 public:
  Follower(const Line& line, const estimate::Limit& limit, const std::vector<double>& looks_l,
           ArrivalCases& cases)
      : line_(line),
        looks_l_(looks_l),
        drawer_(line.inputs()),
        limit_(limit),
        before_(limits_before(line.inputs().scenario())),
        lag_s_(line.inputs().scenario().sensor.lag_s),
        cases_(cases),
        space_(line.inputs()) {}

  /// `count` cases, into those of number `at` on.
  void block(BlockPoints& points, std::size_t at, std::size_t count) {
    drawer_.each(points, count, space_, [&](std::size_t i, std::size_t k) {
      cases_.noise[at + k] = space_.f[i];
      follow(i, at + k);
    });
  }

 private:
  void follow(std::size_t i, std::size_t to) {
    line_.load(space_.batch, i, one_);
    const double old = line_.old_content(space_.batch, i);
    const double settled = one_.settled(space_.columns.a()[i], space_.columns.total()[i], old);
    const bool starts_outside = limit_.missed_by(old);
    const bool ends_outside = limit_.missed_by(settled);
    double from = k_infinity;
    double until = k_infinity;
    double passed = k_infinity;
    if (starts_outside != ends_outside) {
      const models::PreparedChain chain(one_.to_injectors);
      passed = chain.quantile((limit_.compared() - old) / (settled - old));
    }
    const double burned = one_.burned_once_passed(passed);
    if (starts_outside) {
      from = 0.0;
      if (!ends_outside) until = burned;
    } else if (ends_outside) {
      from = burned;
    } else {
      until = 0.0;
    }
    cases_.old[to] = old;
    cases_.settled[to] = settled;
    cases_.bias[to] = line_.bias(space_.batch, i);
    cases_.out_from[to] = from;
    cases_.out_to[to] = until;
    if (line_.has_rates()) {
      const bool waits = starts_outside && !ends_outside;
      cases_.out_until_s[to] = waits ? one_.time_once_passed(passed) : until;
    }
    cases_.seen[to] = seen(old, settled, starts_outside, ends_outside, passed);
    look(old, settled, to);
    leave(old, settled, to);
  }

  void leave(double old, double settled, std::size_t to) {
    if (before_.empty()) return;
    double passed = k_infinity;
    for (const estimate::Limit& limit : before_) {
      if (limit.missed_by(old)) {
        passed = 0.0;
      } else if (limit.missed_by(settled)) {
        const models::PreparedChain chain(one_.to_injectors);
        passed = std::min(passed, chain.quantile((limit.compared() - old) / (settled - old)));
      }
    }
    cases_.left[to] = one_.burned_once_passed(passed);
    if (line_.has_rates()) cases_.left_s[to] = one_.time_once_passed(passed);
  }

  void look(double old, double settled, std::size_t to) {
    if (looks_l_.empty()) return;
    lagged_.prepare(one_.to_sensor, one_.through, lag_s_);
    for (std::size_t k = 0; k < looks_l_.size(); ++k) {
      const double share = lagged_.at(one_.passed({Moment::By::burned, looks_l_[k]}));
      cases_.shown[k][to] = old + (settled - old) * share;
    }
  }

  double seen(double old, double settled, bool starts_outside, bool ends_outside, double passed) {
    if (ends_outside || std::isinf(passed)) {
      const double sign = limit_.sign();
      if (!starts_outside && !ends_outside) return -sign * k_infinity;  // none shown
      return sign * std::max(sign * old, sign * settled);
    }
    // Just before: where the fuel comes as a step, it comes to the sensor and the injectors at
    // once.
    lagged_.prepare(one_.to_sensor, one_.through, lag_s_);
    const double share = passed > 0.0 ? lagged_.at(passed * (1.0 - 1e-7)) : 0.0;
    return old + (settled - old) * share;
  }

  const Line& line_;
  const std::vector<double>& looks_l_;
  CaseDrawer drawer_;
  estimate::Limit limit_;
  std::vector<estimate::Limit> before_;
  double lag_s_;
  ArrivalCases& cases_;
  estimate::Workspace space_;
  LineCase one_;
  models::LaggedShare lagged_;
};

}  // namespace

bool ArrivalCases::arrives(std::size_t i) const {
  return std::isfinite(out_to[i]);
}

std::vector<estimate::Limit> limits_before(const scenario::Scenario& scenario) {
  std::vector<estimate::Limit> all;
  if (scenario.before.minimum) all.push_back({estimate::Side::below, *scenario.before.minimum});
  if (scenario.before.maximum) all.push_back({estimate::Side::above, *scenario.before.maximum});
  return all;
}

ArrivalCases follow_cases(const Line& line, const estimate::Limit& limit, std::uint64_t cases,
                          const estimate::Options& options, std::uint64_t round,
                          const std::vector<double>& looks_l) {
  const std::size_t each = static_cast<std::size_t>(cases) / k_blocks;
  const std::size_t all = each * k_blocks;
  ArrivalCases result;
  result.blocks = k_blocks;
  for (auto* column : {&result.settled, &result.old, &result.bias, &result.noise, &result.out_from,
                       &result.out_to, &result.seen}) {
    column->resize(all);
  }
  result.shown.assign(looks_l.size(), std::vector<double>(all));
  if (line.has_rates()) result.out_until_s.resize(all);
  if (!limits_before(line.inputs().scenario()).empty()) {
    result.left.resize(all);
    if (line.has_rates()) result.left_s.resize(all);
  }
  estimate::in_parallel(k_blocks, options.threads, [&] {
    return [&, follower =
                   std::make_unique<Follower>(line, limit, looks_l, result)](std::size_t block) {
      BlockPoints points(options, round, block);
      follower->block(points, block * each, each);
    };
  });
  return result;
}

namespace {

/// The volume that has passed when a sensor with this error first shows `reading`; infinite where
/// it never does.
double passed_when_shown(const LineCase& one, models::LaggedShare& lagged, double lag_s, double old,
                         double settled, double error, const estimate::Limit& reading) {
  const double sign = reading.sign();
  if (sign * (old + error - reading.value) >= 0.0) return 0.0;
  if (!(sign * (settled - old) > 0.0)) return k_infinity;
  const double share = (reading.value - error - old) / (settled - old);
  if (share >= 1.0) return k_infinity;
  lagged.prepare(one.to_sensor, one.through, lag_s);
  const auto excess = [&](double q) { return lagged.at(q) - share; };
  const double at_first = excess(0.0);
  if (at_first >= 0.0) return 0.0;
  const double about = std::max(models::residence_mean(one.to_sensor), 1e-6);
  const auto ends =
      numeric::bracketed(excess, {0.0, about, at_first, excess(about)}, about, 0.0, 1e9);
  if (!ends) return k_infinity;
  const auto close = [](double from, double to) { return to - from <= 1e-8 * to; };
  return numeric::root(excess, {0.0, ends->high, at_first, ends->at_high}, close, 60).middle();
}

}  // namespace

namespace {

/// follow(one, old, settled, i) for every case of `cases` points named by `round`: the case's line,
/// the contents of its line before the fill and of its tank in the end, and its place in the batch.
template <class Follow>
void for_cases(const Line& line, std::uint64_t cases, const estimate::Options& options,
               std::uint64_t round, estimate::Workspace& space, const Follow& follow) {
  const CaseDrawer drawer(line.inputs());
  LineCase one;
  BlockPoints points(options, round, 0);
  drawer.each(points, static_cast<std::size_t>(cases), space, [&](std::size_t i, std::size_t) {
    line.load(space.batch, i, one);
    const double old = line.old_content(space.batch, i);
    follow(one, old, one.settled(space.columns.a()[i], space.columns.total()[i], old), i);
  });
}

}  // namespace

ShownMoments moments_shown(const Line& line, const estimate::Limit& reading, std::uint64_t cases,
                           const estimate::Options& options) {
  const scenario::Sensor& sensor = line.inputs().scenario().sensor;
  estimate::Workspace space(line.inputs());
  models::LaggedShare lagged;
  ShownMoments moments;
  for_cases(line, cases, options, 2, space,
            [&](const LineCase& one, double old, double settled, std::size_t i) {
              const double error = line.bias(space.batch, i) + sensor.noise_sd * space.f[i];
              const double passed =
                  passed_when_shown(one, lagged, sensor.lag_s, old, settled, error, reading);
              if (std::isinf(passed)) return;
              moments.burn_l.push_back(one.burned_once_passed(passed));
              if (line.has_rates()) moments.time_s.push_back(one.time_once_passed(passed));
            });
  return moments;
}

namespace {

/// content(old, settled, i, passed) of the cases that a picture shows: a list for every burned
/// volume. `prepare(one)` comes before the volumes of a case.
template <class Prepare, class Content>
std::vector<std::vector<double>> pictured(const Line& line, const std::vector<double>& burn_l,
                                          const estimate::Options& options,
                                          estimate::Workspace& space, const Prepare& prepare,
                                          const Content& content) {
  constexpr std::size_t k_cases = 2048;
  estimate::Options single = options;
  single.method = estimate::Method::conditional;
  std::vector<std::vector<double>> contents(burn_l.size());
  for_cases(line, k_cases, single, 3, space,
            [&](const LineCase& one, double old, double settled, std::size_t i) {
              prepare(one);
              for (std::size_t k = 0; k < burn_l.size(); ++k) {
                const double passed = one.passed({Moment::By::burned, burn_l[k]});
                contents[k].push_back(content(old, settled, i, passed));
              }
            });
  return contents;
}

}  // namespace

namespace {

std::vector<std::array<double, 3>> bands_of(std::vector<std::vector<double>> contents) {
  std::vector<std::array<double, 3>> band;
  for (std::vector<double>& at : contents) {
    const auto quantiles = tank::quantiles_of(at);
    band.push_back({quantiles[1], quantiles[2], quantiles[3]});
  }
  return band;
}

}  // namespace

std::vector<std::array<double, 3>> rail_band(const Line& line, const std::vector<double>& burn_l,
                                             const estimate::Options& options) {
  estimate::Workspace space(line.inputs());
  models::PreparedChain chain;
  return bands_of(pictured(
      line, burn_l, options, space,
      [&](const LineCase& one) { chain = models::PreparedChain(one.to_injectors); },
      [&](double old, double settled, std::size_t /*i*/, double passed) {
        return old + (settled - old) * chain.cdf(passed);
      }));
}

std::vector<std::array<double, 3>> shown_band(const Line& line, const std::vector<double>& burn_l,
                                              const estimate::Options& options) {
  const scenario::Sensor& sensor = line.inputs().scenario().sensor;
  estimate::Workspace space(line.inputs());
  models::LaggedShare lagged;
  return bands_of(pictured(
      line, burn_l, options, space,
      [&](const LineCase& one) { lagged.prepare(one.to_sensor, one.through, sensor.lag_s); },
      [&](double old, double settled, std::size_t i, double passed) {
        return old + (settled - old) * lagged.at(passed) + line.bias(space.batch, i) +
               sensor.noise_sd * space.f[i];
      }));
}

}  // namespace blendrisk::line
