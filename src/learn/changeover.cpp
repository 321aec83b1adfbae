#include "learn/changeover.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>

#include "learn/chain_fit.hpp"
#include "learn/correlation.hpp"
#include "learn/line_model.hpp"
#include "learn/log_fit.hpp"
#include "learn/rates.hpp"
#include "numeric/sampling_laws.hpp"

namespace blendrisk::learn {
namespace {

constexpr std::array<const char*, 3> k_keys{"line.reservoir", "line.filter", "line.pipe"};
/// A volume below this is none [L].
constexpr double k_none_l = 1e-4;
constexpr double k_most_error = 0.5;
constexpr double k_most_correlation = 0.99;
constexpr double k_least_change = 0.02;

/// A simpler line is as good where the data refuse it less clearly than this.
constexpr double k_refused_at = 0.01;

/// One fit with the covariance of its parameters.
struct Judged {
  ChainFit fit;
  Eigen::MatrixXd covariance;
  double dof = 0.0;
  double variance = 0.0;  ///< of a residual
  double length = 1.0;    ///< correlation_length
  double t = 2.0;         ///< of the 95 % interval
  bool stepped = false;   ///< residuals are what the display's steps make
};

/// Fits one log and says what it can tell.
class Fitter {
 public:
  Fitter(const ChangeoverLog& log, const scenario::Scenario& scenario)
      : log_(log),
        scenario_(scenario),
        bins_(binned(log, scenario)),
        model_(bins_, scenario, !log.rate_l_per_s.empty()),
        parts_(parts_of(scenario.line)),
        whitening_(bins_.weight),
        rate_spread_(flow_spread(log, scenario)) {}

  ChangeoverFit run() {
    check_rows();
    LogFit settled = fit_log(log_, scenario_, parts_, std::move(bins_));
    bins_ = std::move(settled.bins);
    whitening_ = std::move(settled.whitening);
    const ChainFit& fit = settled.fit;
    parts_.drift = fit.parts.drift;
    for (const std::size_t row : settled.off) fit_.off_lines.push_back(log_.lines[row]);
    const ChainFit simpler = without_one(fit);
    const bool needless = simpler.squares <= fit.squares || is_none(fit);
    const Judged best = judged(needless ? simpler : fit);
    fill(best);
    judge_pairs(best);
    assign_stirred();
    if (needless) {
      leave_out(dropped_);
    } else if (fits_as_well(simpler, best)) {
      average(judged(simpler));
    }
    judge_fit();
    compare_other_flow(best);
    say_what_is_not_seen(best);
    return std::move(fit_);
  }

 private:
  void check_rows() const {
    const std::size_t needed = parts_.count() + 5;
    using Why = UntellingLog::Why;
    if (bins_.reading.size() < needed) {
      throw UntellingLog(Why::few_rows, bins_.reading.size(), parts_.count() + 2, needed);
    }
    const auto [low, high] = std::minmax_element(bins_.reading.begin(), bins_.reading.end());
    if (*high - *low < k_least_change) throw UntellingLog(Why::steady);
    if (!(bins_.passed_l.back() > 0.0)) throw UntellingLog(Why::nothing_burned);
  }

  bool is_none(const ChainFit& fit) const {
    for (std::size_t i = 0; i < fit.volumes.size(); ++i) {
      if (parts_.fitted[i] && fit.volumes[i] < k_none_l && parts_.count() > 1) return true;
    }
    return false;
  }

  /// The best fit with one part less. Of two stirred volumes, which the sensor cannot tell apart,
  /// the one that the scenario has smaller is the one to go.
  ChainFit without_one(const ChainFit& fit) {
    ChainFit best;
    if (parts_.count() == 1) return best;
    const bool two_stirred = parts_.fitted[0] && parts_.fitted[1];
    const std::size_t kept = parts_.start[0] < parts_.start[1] ? 1 : 0;
    for (std::size_t i = 0; i < parts_.start.size(); ++i) {
      if (!parts_.fitted[i] || (two_stirred && i == kept)) continue;
      Parts simpler = parts_;
      simpler.fitted[i] = false;
      simpler.start[i] = 0.0;
      for (std::size_t k = 0; k < simpler.start.size(); ++k) {
        if (simpler.fitted[k]) simpler.start[k] = std::max(fit.volumes[k], 0.01);
      }
      if (two_stirred && i < 2) simpler.start[kept] = fit.volumes[0] + fit.volumes[1];
      ChainFit one = fit_chain(model_, bins_, simpler, whitening_);
      if (one.squares < best.squares) {
        best = std::move(one);
        dropped_ = i;
      }
    }
    return best;
  }

  Judged judged(const ChainFit& fit) const {
    Judged result{fit, {}};
    const auto bins = static_cast<double>(bins_.reading.size());
    const auto p = static_cast<double>(fit.jacobian.cols());
    result.dof = bins - p;
    result.variance = fit.squares / result.dof;
    const double step = scenario_.sensor.step;
    result.stepped =
        step > 0.0 && std::sqrt(result.variance) <= 1.5 * expected_noise(scenario_.sensor);
    result.length = correlation_length(fit.residuals);
    result.t = numeric::student_t_quantile(std::max(1.0, bins / result.length - p), 0.975);
    result.covariance = (result.stepped ? 1.0 : result.length) * result.variance * fit.inverse +
                        display_covariance(fit, whitening_, step, scenario_.sensor.noise_sd);
    return result;
  }

  /// F test of one part less.
  static bool fits_as_well(const ChainFit& simpler, const Judged& best) {
    return chance_as_well(simpler, best.fit) > k_refused_at;
  }

  void fill(const Judged& best) {
    fit_.rows = log_.time_s.size();
    fit_.bins = bins_.reading.size();
    fit_.rate_logged = !log_.rate_l_per_s.empty();
    fit_.dof = best.dof;
    fit_.residual_sd = std::sqrt(best.variance);
    fit_.expected_sd = expected_noise(scenario_.sensor);
    if (fit_.rate_logged) fit_.rate_scatter = rate_scatter(log_);
    fit_.correlation_length = best.length;
    fit_.last_share = model_.shares(best.fit.volumes).back();
    fit_.before = level(best, 0);
    fit_.after = level(best, 1);
    if (parts_.drift) {
      fit_.drift = fitted("", best.fit.drift, std::sqrt(best.covariance(2, 2)), best.t);
    }
    fit_.volumes = volumes(best);
    fit_.idle = idle_of(log_);
    if (fit_.rate_logged && !fit_.idle) note(Note::What::idle_varies);
  }

  static Fitted level(const Judged& from, Eigen::Index which) {
    return fitted("", which == 0 ? from.fit.before : from.fit.after,
                  std::sqrt(from.covariance(which, which)), from.t);
  }

  std::vector<Fitted> volumes(const Judged& from) const {
    std::vector<Fitted> all;
    for (std::size_t i = 0; i < k_keys.size(); ++i) {
      if (!from.fit.parts.fitted[i]) continue;
      const Eigen::Index at = from.fit.place(i);
      all.push_back(volume(k_keys[i], from.fit.volumes[i], from.covariance(at, at), from.t));
    }
    return all;
  }

  Fitted volume(const std::string& key, double value, double own_variance, double t) const {
    Fitted one = fitted(key, value, std::hypot(std::sqrt(own_variance), rate_spread_ * value), t);
    judge_error(one);
    return one;
  }

  static void judge_error(Fitted& one) {
    if (one.standard_error <= k_most_error * one.value) return;
    one.not_told = NotTold::wide;
  }

  /// Two volumes of which the log knows little more than a sum.
  void judge_pairs(const Judged& best) {
    for (std::size_t a = 0; a < fit_.volumes.size(); ++a) {
      for (std::size_t b = a + 1; b < fit_.volumes.size(); ++b) judge_pair(best, a, b);
    }
  }

  void judge_pair(const Judged& best, std::size_t a, std::size_t b) {
    const Eigen::Index first_volume = parts_.drift ? 3 : 2;
    const Eigen::Index i = first_volume + static_cast<Eigen::Index>(a);
    const Eigen::Index k = first_volume + static_cast<Eigen::Index>(b);
    const Eigen::MatrixXd& c = best.covariance;
    Fitted& first = fit_.volumes[a];
    Fitted& second = fit_.volumes[b];
    const bool stirred = first.key == k_keys[0] && second.key == k_keys[1];
    const bool unclear = std::abs(c(i, k)) > k_most_correlation * std::sqrt(c(i, i) * c(k, k)) ||
                         (stirred && !first.determined() && !second.determined());
    if (!unclear) return;
    for (Fitted* one : {&first, &second}) {
      one->not_told = NotTold::not_apart;
      one->pair = {first.key, second.key};
    }
    if (!stirred) return;
    fit_.stirred_sum = volume(k_keys[0], first.value + second.value,
                              std::max(0.0, c(i, i) + c(k, k) + 2.0 * c(i, k)), best.t);
  }

  /// Residences add in any order: which of two stirred volumes is which is the scenario's to say.
  void assign_stirred() {
    if (fit_.volumes.size() < 2 || fit_.volumes[1].key != k_keys[1]) return;
    note(Note::What::stirred_order);
    const bool first_smaller = parts_.start[0] < parts_.start[1];
    if ((fit_.volumes[0].value < fit_.volumes[1].value) == first_smaller) return;
    std::swap(fit_.volumes[0], fit_.volumes[1]);
    std::swap(fit_.volumes[0].key, fit_.volumes[1].key);
  }

  /// Readings that do not follow any such line give no volumes, however small their errors.
  void judge_fit() {
    const double change = std::abs(fit_.after.value - fit_.before.value);
    const bool poor = fit_.expected_sd > 0.0 ? fit_.residual_sd > 4.0 * fit_.expected_sd
                                             : fit_.residual_sd > 0.1 * change;
    if (!poor) return;
    for (Fitted& one : fit_.volumes) one.not_told = NotTold::no_such_line;
    fit_.stirred_sum.reset();
  }

  void leave_out(std::size_t part) {
    const Fitted none{k_keys[part], 0.0, 0.0, {}, NotTold::none_shown};
    const auto after =
        std::find_if(fit_.volumes.begin(), fit_.volumes.end(), [&](const Fitted& one) {
          return std::find(k_keys.begin(), k_keys.end(), one.key) >
                 k_keys.begin() + static_cast<std::ptrdiff_t>(part);
        });
    fit_.volumes.insert(after, none);
  }

  /// With and without a part the log fits as well: the part is not told, and the other numbers are
  /// those of both fits, whose difference is in the error (equal weights).
  void average(const Judged& simpler) {
    const auto both = [](Fitted& one, const Fitted& other, double t) {
      const double error = std::sqrt(0.5 * (one.standard_error * one.standard_error +
                                            other.standard_error * other.standard_error) +
                                     0.25 * (one.value - other.value) * (one.value - other.value));
      one = fitted(one.key, 0.5 * (one.value + other.value), error, t);
    };
    const std::vector<Fitted> others = volumes(simpler);
    for (Fitted& one : fit_.volumes) {
      if (one.key == k_keys[dropped_]) {
        one.not_told = NotTold::as_well_without_it;
      }
      for (const Fitted& other : others) {
        if (other.key != one.key) continue;
        both(one, other, simpler.t);
        judge_error(one);
      }
    }
    both(fit_.before, level(simpler, 0), simpler.t);
    both(fit_.after, level(simpler, 1), simpler.t);
    fit_.stirred_sum.reset();
    note(Note::What::mean_of_both, k_keys[dropped_]);
  }

  /// The pipe's other law: whether the log would have it, or could not tell. Normal residuals are
  /// likelier by e^5 or more where one clearly fits better.
  void compare_other_flow(const Judged& best) {
    if (!best.fit.parts.fitted[2]) return;
    const bool plug = scenario_.line.pipe_flow == scenario::PipeFlow::plug;
    scenario::Scenario other = scenario_;
    other.line.pipe_flow = plug ? scenario::PipeFlow::laminar : scenario::PipeFlow::plug;
    const ChainFit with =
        fit_chain(LineModel(bins_, other, fit_.rate_logged), bins_, parts_, whitening_);
    const double independent = static_cast<double>(fit_.bins) / best.length;
    const double better = independent * std::log(best.fit.squares / with.squares);
    if (better <= -10.0) return;
    note(better > 10.0 ? Note::What::other_flow : Note::What::either_flow,
         plug ? "laminar" : "plug", with.volumes[2]);
  }

  void say_what_is_not_seen(const Judged& best) {
    using What = Note::What;
    if (best.length > 1.0) {
      note(best.stepped ? What::display_steps : What::correlated, {}, std::sqrt(best.length));
    }
    note(What::bias_in_levels);
    if (!log_.clock_zero.empty()) note(What::clock_zero, log_.clock_zero);
    if (!fit_.rate_logged) note(rate_spread_ > 0.0 ? What::no_rate_spread : What::no_rate);
    if (fit_.last_share < 0.9) note(What::ends_early, {}, fit_.last_share);
    if (fit_.expected_sd > 0.0 && fit_.residual_sd > 1.5 * fit_.expected_sd) note(What::scatters);
  }

  void note(Note::What what, std::string key = {}, double value = 0.0) {
    fit_.notes.push_back({what, std::move(key), value});
  }

  const ChangeoverLog& log_;
  const scenario::Scenario& scenario_;
  Bins bins_;
  LineModel model_;
  Parts parts_;
  Whitening whitening_;
  double rate_spread_;
  std::size_t dropped_ = 0;  ///< the part that the simpler line has not
  ChangeoverFit fit_;
};

}  // namespace

ChangeoverFit fit_changeover(const ChangeoverLog& log, const scenario::Scenario& scenario) {
  if (log.rate_l_per_s.empty() && mean_phases(scenario).empty()) {
    throw UntellingLog(UntellingLog::Why::no_rate);
  }
  return Fitter(log, scenario).run();
}

}  // namespace blendrisk::learn
