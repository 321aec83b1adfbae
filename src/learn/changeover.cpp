#include "learn/changeover.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <limits>
#include <unsupported/Eigen/NonLinearOptimization>
#include <unsupported/Eigen/NumericalDiff>

#include "learn/line_model.hpp"
#include "scenario/quoting.hpp"
#include "scenario/read.hpp"

namespace blendrisk::learn {
namespace {

using Eigen::Index;
using Eigen::VectorXd;
using scenario::InputError;

constexpr std::array<const char*, 3> k_keys{"line.reservoir", "line.filter", "line.pipe"};
/// A volume below this is none [L].
constexpr double k_none_l = 1e-4;
constexpr double k_most_error = 0.5;
constexpr double k_most_correlation = 0.99;
constexpr double k_least_change = 0.02;

/// Which parts are fitted; the others keep their volume.
struct Parts {
  std::array<bool, 3> fitted{};
  Volumes start{};

  std::size_t count() const {
    return static_cast<std::size_t>(std::count(fitted.begin(), fitted.end(), true));
  }
};

/// Residuals weighted by the square root of the rows; parameters: both levels, ln of the volumes.
struct Residuals {
  using Scalar = double;
  enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };
  using InputType = VectorXd;
  using ValueType = VectorXd;
  using JacobianType = Eigen::MatrixXd;

  const LineModel* model;
  const Bins* bins;
  Parts parts;

  int inputs() const { return static_cast<int>(2 + parts.count()); }
  int values() const { return static_cast<int>(bins->reading.size()); }

  Volumes volumes(const VectorXd& x) const {
    Volumes v = parts.start;
    Index at = 2;
    for (std::size_t i = 0; i < v.size(); ++i) {
      if (parts.fitted[i]) v[i] = std::exp(std::clamp(x[at++], -20.0, 7.0));
    }
    return v;
  }

  int operator()(const VectorXd& x, VectorXd& out) const {
    const std::vector<double> shares = model->shares(volumes(x));
    for (std::size_t i = 0; i < shares.size(); ++i) {
      const double wanted = x[0] + (x[1] - x[0]) * shares[i];
      out[static_cast<Index>(i)] = std::sqrt(bins->weight[i]) * (bins->reading[i] - wanted);
    }
    return 0;
  }
};

struct Solution {
  VectorXd x;
  double squares = std::numeric_limits<double>::infinity();
};

Solution solve_from(const Residuals& residuals, VectorXd x) {
  Eigen::NumericalDiff<Residuals, Eigen::Central> functor(residuals, 1e-12);
  Eigen::LevenbergMarquardt<decltype(functor)> method(functor);
  method.parameters.maxfev = 2000;
  method.parameters.xtol = 1e-10;
  method.parameters.ftol = 1e-12;
  method.minimize(x);
  VectorXd out(residuals.values());
  residuals(x, out);
  return {x, out.squaredNorm()};
}

double mean_of(const std::vector<double>& values, std::size_t from, std::size_t to) {
  double sum = 0.0;
  for (std::size_t i = from; i < to; ++i) sum += values[i];
  return sum / static_cast<double>(to - from);
}

/// The best of several starts: the scenario's volumes, and smaller and larger ones.
Solution solve(const Residuals& residuals) {
  const std::vector<double>& reading = residuals.bins->reading;
  const std::size_t n = reading.size();
  const std::size_t tenth = std::max<std::size_t>(1, n / 20);
  Solution best;
  for (const double factor : {1.0, 0.4, 2.5}) {
    VectorXd x(residuals.inputs());
    x[0] = mean_of(reading, 0, tenth);
    x[1] = mean_of(reading, n - tenth, n);
    Index at = 2;
    for (std::size_t i = 0; i < residuals.parts.start.size(); ++i) {
      if (residuals.parts.fitted[i]) x[at++] = std::log(factor * residuals.parts.start[i]);
    }
    const Solution one = solve_from(residuals, x);
    if (std::isfinite(one.squares) && one.squares < best.squares) best = one;
  }
  return best;
}

/// ∂ residual/∂(levels, volumes): central differences in the volumes themselves.
Eigen::MatrixXd jacobian(const Residuals& residuals, const VectorXd& x) {
  const Index p = x.size();
  Eigen::MatrixXd j(residuals.values(), p);
  VectorXd above(residuals.values());
  VectorXd below(residuals.values());
  for (Index k = 0; k < p; ++k) {
    constexpr double step = 1e-4;  // of a level, or of ln V
    VectorXd moved = x;
    moved[k] = x[k] + step;
    residuals(moved, above);
    moved[k] = x[k] - step;
    residuals(moved, below);
    j.col(k) = (above - below) / (2.0 * step);
    if (k >= 2) j.col(k) /= std::exp(x[k]);
  }
  return j;
}

/// The inverse of JᵀJ. Directions in which the log says nothing get a variance beyond all use, and
/// leave the others as they are.
Eigen::MatrixXd inverse(const Eigen::MatrixXd& information) {
  constexpr double k_nothing = 1e-11;
  constexpr double k_beyond = 1e12;
  const VectorXd scale = information.diagonal().array().max(1e-300).sqrt().inverse();
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> parts(scale.asDiagonal() * information *
                                                             scale.asDiagonal());
  VectorXd inverses = parts.eigenvalues();
  for (double& value : inverses) value = value > k_nothing ? 1.0 / value : k_beyond;
  const Eigen::MatrixXd vectors = scale.asDiagonal() * parts.eigenvectors();
  return vectors * inverses.asDiagonal() * vectors.transpose();
}

Parts parts_of(const scenario::Line& line) {
  Parts parts;
  const std::array<const distributions::Distribution*, 3> laws{&line.reservoir, &line.filter,
                                                               &line.pipe};
  for (std::size_t i = 0; i < laws.size(); ++i) {
    const double mean = distributions::mean(*laws[i]);
    parts.fitted[i] = mean > 0.0 || !distributions::is_exact(*laws[i]);
    parts.start[i] = parts.fitted[i] ? std::max(mean, 0.01) : 0.0;
  }
  if (parts.count() == 0) {
    parts.fitted = {true, false, true};
    parts.start = {0.3, 0.0, 0.15};
  }
  return parts;
}

/// Half the middle two thirds over the mean.
double relative_spread(const distributions::Distribution& law) {
  return 0.5 * (distributions::quantile(law, 0.8413) - distributions::quantile(law, 0.1587)) /
         distributions::mean(law);
}

double rate_spread(const scenario::Engine& engine) {
  double spread = 0.0;
  for (const scenario::Phase& phase : engine.schedule) {
    const auto& rate = phase.load == scenario::Load::idle ? engine.idle : engine.gentle;
    if (rate) spread = std::max(spread, relative_spread(*rate));
  }
  return spread;
}

Fitted fitted(std::string key, double value, double error, double t) {
  return {std::move(key), value, error, {value - t * error, value + t * error}, true, {}};
}

std::optional<Fitted> idle_of(const ChangeoverLog& log, std::vector<std::string>& notes) {
  if (log.rate_l_per_s.empty()) return {};
  const auto n = static_cast<double>(log.rate_l_per_s.size());
  const double mean = mean_of(log.rate_l_per_s, 0, log.rate_l_per_s.size());
  double squares = 0.0;
  for (const double rate : log.rate_l_per_s) squares += (rate - mean) * (rate - mean);
  const double sd = std::sqrt(squares / (n - 1.0));
  if (!(mean > 0.0) || sd > 0.3 * mean) {
    notes.emplace_back(
        "The logged rate varies too much to be idling throughout: engine.idle cannot be told.");
    return {};
  }
  const boost::math::students_t law(n - 1.0);
  return fitted("engine.idle", mean, sd / std::sqrt(n), boost::math::quantile(law, 0.975));
}

/// Fits one log and says what it can tell.
class Fitter {
 public:
  Fitter(const ChangeoverLog& log, const scenario::Scenario& scenario)
      : log_(log),
        scenario_(scenario),
        bins_(binned(log, scenario)),
        model_(bins_, scenario, !log.rate_l_per_s.empty()),
        residuals_{&model_, &bins_, parts_of(scenario.line)} {}

  ChangeoverFit run() {
    check_rows();
    Solution solution = solve(residuals_);
    drop_what_is_none(solution);
    fill(solution);
    compare_without_smaller(solution);
    say_what_is_not_seen();
    return std::move(fit_);
  }

 private:
  [[noreturn]] void fail(const std::string& what) const {
    throw InputError(scenario::escaped(log_.file) + ": " + what);
  }

  void check_rows() const {
    const auto needed = static_cast<std::size_t>(residuals_.inputs()) + 3;
    if (bins_.reading.size() < needed) {
      fail("has " + std::to_string(bins_.reading.size()) + " rows for " +
           std::to_string(residuals_.inputs()) + " unknowns; at least " + std::to_string(needed) +
           " rows are accepted");
    }
    const auto [low, high] = std::minmax_element(bins_.reading.begin(), bins_.reading.end());
    if (*high - *low < k_least_change) {
      fail("the reading never moves by 2 % or more; the log of a change of fuel is accepted");
    }
    if (!(bins_.passed_l.back() > 0.0)) {
      fail("no fuel is burned; a log with the engine running is accepted");
    }
  }

  /// Parts whose volume goes to nothing are left out, and that is said.
  void drop_what_is_none(Solution& solution) {
    const Volumes v = residuals_.volumes(solution.x);
    bool dropped = false;
    for (std::size_t i = 0; i < v.size(); ++i) {
      if (!residuals_.parts.fitted[i] || v[i] > k_none_l || residuals_.parts.count() == 1) continue;
      residuals_.parts.fitted[i] = false;
      residuals_.parts.start[i] = 0.0;
      Fitted none{k_keys[i], 0.0, 0.0, {}, false, "the log shows no such volume"};
      none_.push_back(none);
      dropped = true;
    }
    if (dropped) solution = solve(residuals_);
  }

  void fill(const Solution& solution) {
    const Eigen::MatrixXd j = jacobian(residuals_, solution.x);
    const Eigen::MatrixXd information = j.transpose() * j;
    const auto p = static_cast<double>(residuals_.inputs());
    fit_.rows = log_.time_s.size();
    fit_.bins = bins_.reading.size();
    fit_.rate_logged = !log_.rate_l_per_s.empty();
    fit_.dof = static_cast<double>(fit_.bins) - p;
    const double variance = solution.squares / fit_.dof;
    fit_.residual_sd = std::sqrt(variance);
    const auto& sensor = scenario_.sensor;
    fit_.expected_sd =
        std::sqrt(sensor.noise_sd * sensor.noise_sd + sensor.step * sensor.step / 12.0);
    t_ = boost::math::quantile(boost::math::students_t(fit_.dof), 0.975);
    fit_.last_share = model_.shares(residuals_.volumes(solution.x)).back();
    const Eigen::MatrixXd covariance = variance * inverse(information);
    fit_.before = fitted("", solution.x[0], std::sqrt(covariance(0, 0)), t_);
    fit_.after = fitted("", solution.x[1], std::sqrt(covariance(1, 1)), t_);
    const Volumes v = residuals_.volumes(solution.x);
    rate_spread_ = fit_.rate_logged ? 0.0 : rate_spread(scenario_.engine);
    Index at = 2;
    std::vector<Index> where;
    for (std::size_t i = 0; i < v.size(); ++i) {
      if (!residuals_.parts.fitted[i]) continue;
      where.push_back(at);
      Fitted one = volume(k_keys[i], v[i], covariance(at, at));
      if (!(one.standard_error <= k_most_error * one.value)) {
        one.determined = false;
        one.reason = "its error is as large as what it is";
      }
      fit_.volumes.push_back(one);
      ++at;
    }
    judge_pairs(covariance, where);
    judge_fit();
    assign_stirred();
    fit_.volumes.insert(fit_.volumes.end(), none_.begin(), none_.end());
    fit_.idle = idle_of(log_, fit_.notes);
  }

  /// Readings that do not follow any such line give no volumes, however small their errors.
  void judge_fit() {
    const double change = std::abs(fit_.after.value - fit_.before.value);
    const bool poor = fit_.expected_sd > 0.0 ? fit_.residual_sd > 4.0 * fit_.expected_sd
                                             : fit_.residual_sd > 0.1 * change;
    if (!poor) return;
    for (Fitted& one : fit_.volumes) {
      one.determined = false;
      one.reason = "the readings do not follow such a line";
    }
    fit_.stirred_sum.reset();
  }

  Fitted volume(const std::string& key, double value, double own_variance) const {
    return fitted(key, value, std::hypot(std::sqrt(own_variance), rate_spread_ * value), t_);
  }

  /// Two volumes of which the log knows little more than a sum.
  void judge_pairs(const Eigen::MatrixXd& covariance, const std::vector<Index>& where) {
    for (std::size_t a = 0; a < where.size(); ++a) {
      for (std::size_t b = a + 1; b < where.size(); ++b) {
        const double together = covariance(where[a], where[b]);
        const double correlation =
            together / std::sqrt(covariance(where[a], where[a]) * covariance(where[b], where[b]));
        Fitted& first = fit_.volumes[a];
        Fitted& second = fit_.volumes[b];
        const bool stirred = first.key == k_keys[0] && second.key == k_keys[1];
        const bool unclear = std::abs(correlation) > k_most_correlation ||
                             (stirred && (!first.determined || !second.determined));
        if (!unclear) continue;
        for (Fitted* one : {&first, &second}) {
          one->determined = false;
          one->reason = "the log cannot tell " + first.key + " and " + second.key + " apart";
        }
        if (!stirred) continue;
        const double variance =
            covariance(where[a], where[a]) + covariance(where[b], where[b]) + 2.0 * together;
        fit_.stirred_sum = volume(k_keys[0], first.value + second.value, std::max(0.0, variance));
      }
    }
  }

  /// Residences add in any order: which of two stirred volumes is which is the scenario's to say.
  void assign_stirred() {
    if (fit_.volumes.size() < 2 || fit_.volumes[0].key != k_keys[0] ||
        fit_.volumes[1].key != k_keys[1]) {
      return;
    }
    fit_.notes.emplace_back(
        "The sensor cannot tell which of two stirred volumes comes first: the larger goes to the "
        "one that the scenario has larger.");
    const auto& start = residuals_.parts.start;
    if ((fit_.volumes[0].value < fit_.volumes[1].value) == (start[0] < start[1])) return;
    std::swap(fit_.volumes[0], fit_.volumes[1]);
    std::swap(fit_.volumes[0].key, fit_.volumes[1].key);
  }

  /// Whether the log can do without the smaller of two stirred volumes (F test at 5 %).
  void compare_without_smaller(const Solution& solution) {
    if (!residuals_.parts.fitted[0] || !residuals_.parts.fitted[1]) return;
    Residuals simpler = residuals_;
    simpler.parts.start[0] += simpler.parts.start[1];
    simpler.parts.fitted[1] = false;
    simpler.parts.start[1] = 0.0;
    const Solution without = solve(simpler);
    const double f = (without.squares - solution.squares) / (solution.squares / fit_.dof);
    const boost::math::fisher_f law(1.0, fit_.dof);
    if (f > 0.0 && boost::math::cdf(boost::math::complement(law, f)) < 0.05) return;
    fit_.notes.push_back(
        "One stirred volume of " +
        std::to_string(static_cast<int>(std::lround(1000.0 * simpler.volumes(without.x)[0]))) +
        " mL in place of two fits the log as well.");
  }

  void say_what_is_not_seen() {
    fit_.notes.emplace_back(
        "The sensor's bias is in both levels and cannot be told from them; line.beyond-sensor is "
        "not seen by the sensor and stays what the scenario says.");
    if (!fit_.rate_logged) {
      std::string note =
          "Without a logged rate only volume over rate is known: the volumes rest on the "
          "scenario's rates";
      if (rate_spread_ > 0.0) note += ", whose spread is in their errors";
      fit_.notes.push_back(note + ".");
    }
    if (fit_.last_share < 0.9) {
      fit_.notes.push_back("The log ends when " +
                           std::to_string(static_cast<int>(std::lround(100.0 * fit_.last_share))) +
                           " % of the change has come: a longer one tells more.");
    }
    if (fit_.expected_sd > 0.0 && fit_.residual_sd > 1.5 * fit_.expected_sd) {
      fit_.notes.emplace_back(
          "The readings scatter about the fit by much more than the scenario's sensor.noise and "
          "sensor.step: the line is not quite as modelled, or the sensor worse, and the errors "
          "given here are too small.");
    }
  }

  const ChangeoverLog& log_;
  const scenario::Scenario& scenario_;
  Bins bins_;
  LineModel model_;
  Residuals residuals_;
  std::vector<Fitted> none_;
  double t_ = 2.0;
  double rate_spread_ = 0.0;
  ChangeoverFit fit_;
};

}  // namespace

ChangeoverFit fit_changeover(const ChangeoverLog& log, const scenario::Scenario& scenario) {
  if (log.rate_l_per_s.empty() && mean_phases(scenario).empty()) {
    throw InputError(scenario::escaped(log.file) +
                     ": has no column fuel_rate_l_per_h, and the scenario no rate for "
                     "engine.schedule; one of them, such as engine.idle = 0.9 L/h, is accepted");
  }
  return Fitter(log, scenario).run();
}

}  // namespace blendrisk::learn
