#include "line/line_samples.hpp"

#include <algorithm>
#include <cmath>

#include "estimate/parallel.hpp"
#include "line/case_drawer.hpp"
#include "line/line_batch.hpp"
#include "models/infinity.hpp"

namespace blendrisk::line {
namespace {

constexpr std::size_t k_blocks = 16;

/// What a sensor shows at looks.
class Looker {
 public:
  Looker(const Line& line, const std::vector<double>& looks_l, ArrivalCases& cases)
      : looks_l_(looks_l),
        lag_s_(line.inputs().scenario().sensor.lag_s),
        cases_(cases),
        drawer_(line.inputs()),
        lines_(line) {}

  /// `count` cases, those of number `at` on.
  void block(BlockPoints& points, std::size_t at, std::size_t count) {
    drawer_.each(points, count, [&](const Drawn& drawn) {
      load(drawn);
      look(at + drawn.first);
    });
  }

 protected:
  void load(const Drawn& drawn) {
    const std::size_t n = drawn.count;
    lines_.load(drawn.batch, drawn.landed, drawn.total_l, n);
    share_.resize(n);
    passed_.resize(n);
    sensor_.prepare(lines_.to_sensor(), lines_.through(), lag_s_, n);
  }

  void look(std::size_t to) {
    for (std::size_t k = 0; k < looks_l_.size(); ++k) {
      lines_.passed({Moment::By::burned, looks_l_[k]}, passed_);
      sensor_.at(passed_, share_);
      double* shown = cases_.shown[k].data() + to;
      for (std::size_t i = 0; i < share_.size(); ++i) shown[i] = lines_.content(i, share_[i]);
    }
  }

  const std::vector<double>& looks_l_;
  double lag_s_;
  ArrivalCases& cases_;
  CaseDrawer drawer_;
  LineBatch lines_;
  models::LaggedBatch sensor_;
  std::vector<double> share_, passed_;
};

/// Follows the cases of one block through the line.
class Follower : Looker {
 public:
  Follower(const Line& line, const estimate::Limit& limit, const std::vector<double>& looks_l,
           ArrivalCases& cases)
      : Looker(line, looks_l, cases),
        line_(line),
        limit_(limit),
        before_(limits_before(line.inputs().scenario())) {}

  /// `count` cases, into those of number `at` on.
  void block(BlockPoints& points, std::size_t at, std::size_t count) {
    drawer_.each(points, count, [&](const Drawn& drawn) { follow(drawn, at + drawn.first); });
  }

 private:
  void follow(const Drawn& drawn, std::size_t to) {
    const std::size_t n = drawn.count;
    load(drawn);
    std::copy_n(drawn.noise, n, cases_.noise.data() + to);
    std::copy_n(lines_.old().data(), n, cases_.old.data() + to);
    std::copy_n(lines_.settled().data(), n, cases_.settled.data() + to);
    std::copy_n(lines_.bias().data(), n, cases_.bias.data() + to);
    injectors_.prepare(lines_.to_injectors(), n);
    pass(limit_);
    for (std::size_t i = 0; i < n; ++i) reach(i, to + i);
    see(to);
    look(to);
    leave(to);
  }

  /// passed_ becomes what has passed when the injectors reach the limit, infinite where they start
  /// and end on the same side of it.
  void pass(const estimate::Limit& limit) {
    for (std::size_t i = 0; i < share_.size(); ++i) {
      const double old = lines_.old()[i];
      const double settled = lines_.settled()[i];
      const bool reaches = limit.missed_by(old) != limit.missed_by(settled);
      share_[i] = reaches ? (limit.compared() - old) / (settled - old) : 1.0;
    }
    injectors_.quantile(share_, passed_);
  }

  void reach(std::size_t i, std::size_t to) {
    const bool starts_outside = limit_.missed_by(lines_.old()[i]);
    const bool ends_outside = limit_.missed_by(lines_.settled()[i]);
    const double burned = lines_.burned_once_passed(i, passed_[i]);
    double from = k_infinity;
    double until = k_infinity;
    if (starts_outside) {
      from = 0.0;
      if (!ends_outside) until = burned;
    } else if (ends_outside) {
      from = burned;
    } else {
      until = 0.0;
    }
    cases_.out_from[to] = from;
    cases_.out_to[to] = until;
    if (!line_.has_rates()) return;
    const bool waits = starts_outside && !ends_outside;
    cases_.out_until_s[to] = waits ? lines_.time_once_passed(i, passed_[i]) : until;
  }

  void leave(std::size_t to) {
    if (before_.empty()) return;
    std::vector<double> first(share_.size(), k_infinity);
    for (const estimate::Limit& limit : before_) {
      pass(limit);
      for (std::size_t i = 0; i < first.size(); ++i) {
        if (limit.missed_by(lines_.old()[i])) {
          first[i] = 0.0;
        } else if (limit.missed_by(lines_.settled()[i])) {
          first[i] = std::min(first[i], passed_[i]);
        }
      }
    }
    for (std::size_t i = 0; i < first.size(); ++i) {
      cases_.left[to + i] = lines_.burned_once_passed(i, first[i]);
      if (line_.has_rates()) cases_.left_s[to + i] = lines_.time_once_passed(i, first[i]);
    }
  }

  void see(std::size_t to) {
    // Just before: where the fuel comes as a step, it comes to the sensor and the injectors at
    // once.
    std::vector<double> before(passed_.size());
    for (std::size_t i = 0; i < before.size(); ++i) {
      before[i] = std::isinf(passed_[i]) ? -1.0 : passed_[i] * (1.0 - 1e-7);
    }
    sensor_.at(before, share_);
    const double sign = limit_.sign();
    for (std::size_t i = 0; i < before.size(); ++i) {
      const double old = lines_.old()[i];
      const double settled = lines_.settled()[i];
      const bool starts_outside = limit_.missed_by(old);
      const bool ends_outside = limit_.missed_by(settled);
      double& seen = cases_.seen[to + i];
      if (!starts_outside && !ends_outside) {
        seen = -sign * k_infinity;  // none shown
      } else if (ends_outside || std::isinf(passed_[i])) {
        seen = sign * std::max(sign * old, sign * settled);
      } else {
        seen = lines_.content(i, passed_[i] > 0.0 ? share_[i] : 0.0);
      }
    }
  }

  const Line& line_;
  estimate::Limit limit_;
  std::vector<estimate::Limit> before_;
  models::ChainBatch injectors_;
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

namespace {

/// Has every block of `each` cases done by what `make` makes, one a thread.
template <class Make>
void each_block(const estimate::Options& options, std::uint64_t round, std::size_t each,
                const Make& make) {
  estimate::in_parallel(k_blocks, options.threads, [&] {
    return [&, worker = make()](std::size_t block) {
      BlockPoints points(options, round, block);
      worker->block(points, block * each, each);
    };
  });
}

}  // namespace

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
  each_block(options, round, each,
             [&] { return std::make_unique<Follower>(line, limit, looks_l, result); });
  return result;
}

void add_looks(const Line& line, const estimate::Options& options, std::uint64_t round,
               const std::vector<double>& looks_l, ArrivalCases& cases) {
  cases.shown.assign(looks_l.size(), std::vector<double>(cases.size()));
  each_block(options, round, cases.size() / cases.blocks,
             [&] { return std::make_unique<Looker>(line, looks_l, cases); });
}

}  // namespace blendrisk::line
