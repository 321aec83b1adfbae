#include "decide/waiting_table.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "decide/switching.hpp"
#include "decide/variants.hpp"
#include "estimate/measured.hpp"
#include "estimate/parallel.hpp"
#include "line/shown_readings.hpp"
#include "numeric/round_step.hpp"
#include "numeric/vector_math.hpp"
#include "tank/within_risk.hpp"

namespace blendrisk::decide {
namespace {

using estimate::Limit;
using estimate::Options;
using line::ArrivalCases;
using line::Line;

constexpr std::uint64_t k_cases = std::uint64_t{1} << 14U;
constexpr std::uint64_t k_most_crude = std::uint64_t{1} << 16U;
constexpr std::size_t k_most_rows = 14;
/// Multiples of which a step of the display is made up where the laws are laid on a grid.
constexpr int k_finer = 4;
constexpr int k_tightenings = 20;
/// The names of the points, beside those of the other answers.
constexpr std::uint64_t k_round = 0, k_fresh_round = 4;

/// The steps of the display beyond the limit that the looks ask for; −1: no switching at that look.
using Steps = std::vector<int>;

/// Burned volumes on a round grid from before any but a few cases arrive to well after nearly all
/// have, and a lagging sensor has shown it.
std::vector<double> looks_of(const Line& line, const line::Arrival& arrival, double unit_l) {
  if (!arrival.burn_l) return {};
  const double low = arrival.burn_l->front();
  const double high = arrival.burn_l->back();
  const double spread = high - low;
  double far = high + 1.5 * spread;
  if (const double lag_s = line.inputs().scenario().sensor.lag_s; lag_s > 0.0) {
    const line::LineCase typical = line.typical();
    const double shown_s =
        typical.time_once_passed(typical.passed({line::Moment::By::burned, far}));
    far = std::max(far, models::pumped_volume(typical.burned, shown_s + 4.0 * lag_s));
  }
  const double about = std::max(spread / 6.0, far / 40.0);
  if (!(about > 0.0)) return {};
  const double step = numeric::round_step(about / unit_l) * unit_l;
  std::vector<double> looks;
  for (double k = std::max(0.0, std::floor((low - 0.5 * spread) / step)); k * step < far + step;
       ++k) {
    looks.push_back(std::round(k * step / unit_l * 1e9) / 1e9 * unit_l);
  }
  return looks;
}

/// The first step from which on the share outside is within `risk`, the share taken to fall with
/// the step; −1 where there is none that enough cases show.
int first_within(const line::ShownReadings& shown, double risk) {
  std::size_t count = shown.all.size();
  double beyond = 0.0;
  while (count > 0 && beyond + shown.all[count - 1] < k_too_few) beyond += shown.all[--count];
  /// Neighbouring steps whose shares would rise are one.
  struct Pool {
    std::size_t first;
    double all, outside;
  };
  std::vector<Pool> pools;
  const auto rises = [](const Pool& a, const Pool& b) {
    return b.outside * a.all >= a.outside * b.all;
  };
  for (std::size_t k = 0; k < count; ++k) {
    Pool pool{k, shown.all[k], shown.outside[k]};
    // What hardly any case shows goes with the last that some do.
    for (std::size_t rest = k + 1; k + 1 == count && rest < shown.all.size(); ++rest) {
      pool.all += shown.all[rest];
      pool.outside += shown.outside[rest];
    }
    for (; !pools.empty() && rises(pools.back(), pool); pools.pop_back()) {
      pool = {pools.back().first, pools.back().all + pool.all, pools.back().outside + pool.outside};
    }
    pools.push_back(pool);
  }
  for (const Pool& pool : pools) {
    if (pool.outside <= risk * tank::k_rounding * pool.all) return static_cast<int>(pool.first);
  }
  return -1;
}

/// Shares of cases that switch, and of those too early, block by block; and that switch at a look.
struct Followed : Shares {
  std::vector<double> at_look;
};

class Table {
 public:
  Table(const Line& line, const Limit& target, std::vector<double> looks_l)
      : line_(line),
        sign_(target.sign()),
        sensor_(line.inputs().scenario().sensor),
        readings_(target, step_of(sensor_)),
        looks_l_(std::move(looks_l)) {}

  const std::vector<double>& looks_l() const { return looks_l_; }
  double reading(int k) const { return readings_.at(k); }

  /// By these cases the rows are made.
  void make_by(const ArrivalCases& cases, unsigned threads) {
    int count = 0;
    while (readings_.possible(count)) ++count;
    const line::ReadingGrid grid(line_, readings_.at(0), sign_ * step_of(sensor_),
                                 static_cast<std::size_t>(count));
    shown_.resize(looks_l_.size());
    estimate::in_parallel(looks_l_.size(), threads, [&] {
      return [&](std::size_t look) { shown_[look] = grid.shown(cases, look, looks_l_[look]); };
    });
  }

  /// The steps that keep each row within `risk`.
  Steps steps_within(double risk) const {
    Steps steps;
    for (const line::ShownReadings& shown : shown_) steps.push_back(first_within(shown, risk));
    // What is asked for falls with what is burned.
    for (std::size_t look = steps.size() - 1; look-- > 0;) {
      const int next = steps[look + 1];
      steps[look] = steps[look] < 0 || next < 0 ? -1 : std::max(steps[look], next);
    }
    std::size_t rows = 0;
    for (std::size_t look = 0; look < steps.size(); ++look) {
      if (steps[look] >= 0 && ++rows > k_most_rows) steps[look] = steps[look - 1];
    }
    return steps;
  }

  /// What comes of it when the steps are followed.
  Followed followed(const ArrivalCases& cases, const Steps& steps) const {
    const std::size_t each = cases.size() / cases.blocks;
    const double count = 1.0 / static_cast<double>(each);
    Followed shares;
    shares.early.resize(cases.blocks);
    shares.ever.resize(cases.blocks);
    shares.at_look.resize(steps.size());
    std::vector<double> met(each);
    for (std::size_t b = 0; b < cases.blocks; ++b) {
      const std::size_t first = b * each;
      std::vector<double> waiting(each, 1.0);
      for (std::size_t look = 0; look < steps.size(); ++look) {
        if (steps[look] < 0) continue;
        meet(cases, first, look, readings_.at(steps[look]), waiting, met);
        double now = 0.0;
        double early = 0.0;
        for (std::size_t i = 0; i < each; ++i) {
          const double switches = waiting[i] * met[i];
          waiting[i] -= switches;
          now += switches;
          if (line::outside_at(cases, first + i, looks_l_[look])) early += switches;
        }
        shares.ever[b] += now * count;
        shares.early[b] += early * count;
        shares.at_look[look] += now / static_cast<double>(cases.size());
      }
    }
    return shares;
  }

 private:
  /// met becomes the chances that the display shows `reading` or beyond, of cases from `first` on
  /// that are still waiting.
  void meet(const ArrivalCases& cases, std::size_t first, std::size_t look, double reading,
            const std::vector<double>& waiting, std::vector<double>& met) const {
    const double least = sign_ * reading - 0.5 * sensor_.step;
    const double* shown = cases.shown[look].data() + first;
    const double* bias = cases.bias.data() + first;
    for (std::size_t i = 0; i < met.size(); ++i) met[i] = sign_ * (shown[i] + bias[i]) - least;
    if (sensor_.noise_sd > 0.0) return meet_with_noise(waiting, met);
    constexpr double k_tie = 1e-12;
    for (double& value : met) value = value >= -k_tie ? 1.0 : 0.0;
  }

  /// The normal law is asked only where it is neither next to 0 nor 1.
  void meet_with_noise(const std::vector<double>& waiting, std::vector<double>& met) const {
    constexpr double k_never = -25.0;
    constexpr double k_always = 9.0;
    std::vector<double> open;
    std::vector<std::size_t> of;
    for (std::size_t i = 0; i < met.size(); ++i) {
      const double score = met[i] / sensor_.noise_sd;
      met[i] = score < k_always ? 0.0 : 1.0;
      if (!(score > k_never && score < k_always && waiting[i] > 0.0)) continue;
      open.push_back(score);
      of.push_back(i);
    }
    numeric::normal_cdf(open, open);
    for (std::size_t k = 0; k < of.size(); ++k) met[of[k]] = open[k];
  }

  const Line& line_;
  double sign_;
  const scenario::Sensor& sensor_;
  Readings readings_;
  std::vector<double> looks_l_;
  std::vector<line::ShownReadings> shown_;
};

std::uint64_t count_of_cases(const Options& options) {
  const bool crude = options.method == estimate::Method::crude;
  return crude ? std::min(options.cases.value_or(k_most_crude), k_most_crude) : k_cases;
}

ArrivalCases followed_cases(const Line& line, const Limit& target, const std::vector<double>& looks,
                            const Options& options, std::uint64_t round) {
  return line::follow_cases(line, target, count_of_cases(options), options, round, looks);
}

/// Lowers the risk of single rows until the whole, by these cases, is within the accepted one.
/// @return what comes of it then; none where it never is
std::optional<Followed> tighten(const Table& table, const ArrivalCases& cases, double accepted,
                                double& row_risk, Steps& steps) {
  for (int tries = 0; tries <= k_tightenings; ++tries) {
    const Followed shares = table.followed(cases, steps);
    if (shares.ever_share() < k_too_few) return {};
    const double too_early = shares.ratio() + shares.estimate().standard_error;
    if (too_early <= accepted * tank::k_rounding) return shares;
    row_risk *= std::clamp(0.95 * accepted / too_early, 0.3, 0.95);
    steps = table.steps_within(row_risk);
  }
  return {};
}

/// Lifts the chance of being too early to what measured inputs bear, as for a single reading.
void bear(const Line& line, const Limit& target, const Options& options, const Table& table,
          const Steps& steps, const Shares& here, estimate::Estimate& too_early) {
  const Options few = estimate::at_ends(options);
  const auto at = [&](const scenario::Scenario& at_end, const Options&) {
    const sampling::CaseInputs ends(at_end, sampling::Scope::line);
    const Line there(ends);
    const ArrivalCases cases =
        line::follow_cases(there, target, *few.cases, few, k_fresh_round, table.looks_l());
    const Shares then = table.followed(cases, steps);
    estimate::Estimate one;
    const double more = Shares::all(then.early) - here.ratio() * then.ever_share();
    one.chance = std::max(0.0, here.ratio() + more / here.ever_share());
    return std::vector{one};
  };
  estimate::lift(line.inputs(), std::array{&too_early}, options, at);
}

/// The rows from the first that can be met to the one whose reading holds from then on.
void tell(const Line& line, const Table& table, const Steps& steps, const ArrivalCases& cases,
          const Followed& followed, std::vector<WaitingRow>& rows) {
  std::size_t last = steps.size() - 1;
  while (last > 0 && steps[last - 1] == steps[last]) --last;
  const line::LineCase typical = line.typical();
  double by_then = 0.0;
  for (std::size_t look = 0; look <= last; ++look) {
    if (steps[look] < 0) continue;
    WaitingRow row;
    row.burn_l = table.looks_l()[look];
    if (line.has_rates()) {
      row.time_s = typical.time_once_passed(typical.passed({line::Moment::By::burned, row.burn_l}));
    }
    row.reading = table.reading(steps[look]);
    by_then += followed.at_look[look];
    row.shown_by_then = by_then;
    std::size_t within = 0;
    for (std::size_t i = 0; i < cases.size(); ++i) {
      if (!line::outside_at(cases, i, row.burn_l)) ++within;
    }
    row.within = static_cast<double>(within) / static_cast<double>(cases.size());
    rows.push_back(row);
  }
}

}  // namespace

WaitingTable solve_waiting_table(const Line& line, const Limit& target,
                                 const line::Arrival& arrival, ArrivalCases cases,
                                 const Options& options, double unit_l) {
  WaitingTable result;
  result.why_none = NoReading::hardly_shown;
  std::vector<double> looks = looks_of(line, arrival, unit_l);
  if (looks.empty()) return result;
  const double accepted = line.inputs().scenario().limits.accepted_risk;
  Table table(line, target, std::move(looks));
  if (cases.size() == count_of_cases(options)) {
    line::add_looks(line, options, k_round, table.looks_l(), cases);
  } else {
    cases = followed_cases(line, target, table.looks_l(), options, k_round);
  }
  table.make_by(cases, options.threads);
  double row_risk = accepted;
  Steps steps = table.steps_within(row_risk);
  if (!tighten(table, cases, accepted, row_risk, steps)) return result;
  const ArrivalCases fresh = followed_cases(line, target, table.looks_l(), options, k_fresh_round);
  const std::optional<Followed> shares = tighten(table, fresh, accepted, row_risk, steps);
  if (!shares) return result;
  result.too_early = shares->estimate();
  bear(line, target, options, table, steps, *shares, result.too_early);
  if (result.too_early.few_values && result.too_early.chance > accepted) {
    result.why_none = NoReading::few_values;
    return result;
  }
  result.triggers = shares->ever_share();
  result.every_l = table.looks_l()[1] - table.looks_l()[0];
  result.until_l = table.looks_l().back();
  tell(line, table, steps, fresh, *shares, result.rows);
  result.why_none.reset();
  return result;
}

}  // namespace blendrisk::decide
