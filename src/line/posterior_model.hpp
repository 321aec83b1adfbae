#pragma once

#include <algorithm>
#include <cmath>

#include "line/line_batch.hpp"
#include "line/sensor_posterior.hpp"
#include "models/infinity.hpp"
#include "numeric/vector_math.hpp"

/// The cases of Follow, and how likely readings are in them.
namespace blendrisk::line {

/// One case of the posterior.
struct Follow::Case {
  double settled, rail, bias;
  double line = 0.0;  ///< content of all that the line holds, mixed; only where asked for
  double burn_left_l = 0.0, time_left_s = 0.0;  ///< infinite where it never arrives
  double weight;
  std::size_t block;
};

/// What cases are driven to: a state that is greater than 0 in the event.
struct Follow::State {
  enum class Of { landed, rail, burn_left, time_left } of;
  estimate::Limit limit;
};

/// Turns rows of z into cases and follows them to the readings. One a thread.
class Follow::Model : public estimate::Likelihood {
 public:
  /// A state of cases in which the tank itself misses the limit, in litres or seconds.
  static constexpr double k_never = 1e12;

  /// @param state  stands for the new data in evaluate
  explicit Model(const Follow& owner, const State* state = nullptr)
      : owner_(owner),
        state_(state),
        landing_(owner.inputs_, {}),
        space_(owner.inputs_),
        lines_(owner.line_) {}

  void evaluate(const Eigen::ArrayXXd& z, std::span<double> old_data,
                std::span<double> new_data) override {
    follow(z, [&](std::size_t from, std::size_t n) {
      const std::span<double> before = old_data.subspan(from, n);
      const std::span<double> now = new_data.subspan(from, n);
      likelihood_of(owner_.taken_, before);
      if (state_ != nullptr) {
        tell_state(now);
      } else {
        likelihood_of(owner_.next_, now);
      }
      if (!owner_.inputs_.weighted()) return;
      const std::span<double> weighted = owner_.figures_taken_ ? before : now;
      for (std::size_t i = 0; i < n; ++i) {
        weighted[i] += std::log(std::max(space_.columns.weight()[i], 1e-300));
      }
    });
  }

  /// Σ misfit² over all readings of every row, and their distance from the prior's centre.
  std::vector<double> discrepancies(const Eigen::ArrayXXd& z) {
    std::vector<double> sums(static_cast<std::size_t>(z.rows()));
    follow(z, [&](std::size_t from, std::size_t n) {
      for (std::size_t i = 0; i < n; ++i) {
        // A row of no columns would start behind no data at all.
        sums[from + i] =
            z.cols() == 0 ? 0.0 : z.row(static_cast<Eigen::Index>(from + i)).square().sum();
        if (owner_.inputs_.weighted()) sums[from + i] += space_.columns.misfit()[i];
      }
      for (const Reading& reading : owner_.taken_) {
        see(reading.moment);
        for (std::size_t i = 0; i < n; ++i) {
          const double off = misfit(reading, seen_[i]);
          sums[from + i] += off * off;
        }
      }
    });
    return sums;
  }

  /// The cases of one block, `weight` each.
  void add_cases(const Eigen::ArrayXXd& z, double weight, std::size_t block, bool with_line,
                 std::vector<Case>& cases) {
    follow(z, [&](std::size_t, std::size_t) {
      for (const Case& one : cases_now(with_line)) {
        cases.push_back(one);
        cases.back().weight = weight;
        cases.back().block = block;
      }
    });
  }

 private:
  /// each(from, n) once a batch of n rows of z from that one on is loaded.
  template <class Each>
  void follow(const Eigen::ArrayXXd& z, const Each& each) {
    const auto rows = static_cast<std::size_t>(z.rows());
    for (std::size_t from = 0; from < rows; from += estimate::Workspace::k_capacity) {
      const std::size_t n = std::min(estimate::Workspace::k_capacity, rows - from);
      draw(z, from, n);
      lines_.load(space_.batch, space_.columns.a(), space_.columns.total(), n);
      sensor_.prepare(lines_.to_sensor(), lines_.through(), owner_.scenario_.sensor.lag_s, n);
      for (std::vector<double>* column : {&passed_, &seen_}) column->resize(n);
      each(from, n);
    }
  }

  void draw(const Eigen::ArrayXXd& z, std::size_t from, std::size_t n) {
    const auto uniforms = [&](std::size_t d, std::span<double> u) {
      numeric::normal_cdf({z.col(static_cast<Eigen::Index>(d)).data() + from, n}, u);
      // Both ends are left to the laws' inverses.
      for (double& value : u) value = std::clamp(value, 1e-300, 1.0 - 0x1p-53);
    };
    owner_.sampler_.draw_all(std::span(space_.u).first(n), uniforms, space_.batch);
    landing_.evaluate(space_.batch, n, space_.columns);
  }

  /// seen_ becomes what an exact display would show then.
  void see(const Moment& moment) {
    lines_.passed(moment, passed_);
    sensor_.at(passed_, seen_);
    for (std::size_t i = 0; i < seen_.size(); ++i) {
      seen_[i] = lines_.content(i, seen_[i]) + lines_.bias()[i];
    }
  }

  void likelihood_of(const std::vector<Reading>& readings, std::span<double> sum) {
    std::fill(sum.begin(), sum.end(), 0.0);
    for (const Reading& reading : readings) {
      see(reading.moment);
      add_log_likelihood(reading, seen_, sum);
    }
  }

  /// rail becomes the content at the injectors at the last reading, and passed_ what has passed.
  void rail_now(std::span<double> rail) {
    injectors_.prepare(lines_.to_injectors(), rail.size());
    lines_.passed(owner_.readings_.back().moment, passed_);
    injectors_.cdf(passed_, rail);
    for (std::size_t i = 0; i < rail.size(); ++i) rail[i] = lines_.content(i, rail[i]);
  }

  std::vector<Case> cases_now(bool with_line) {
    const std::size_t n = lines_.size();
    const estimate::Limit& target = owner_.target_;
    std::vector<double> rail(n);
    rail_now(rail);
    // Those that are outside and arrive, the others at once.
    std::vector<double> share(n);
    std::vector<double> at(n);
    for (std::size_t i = 0; i < n; ++i) {
      const double old = lines_.old()[i];
      const double settled = lines_.settled()[i];
      const bool waits = target.missed_by(rail[i]) && !target.missed_by(settled);
      if (waits) share[i] = (target.compared() - old) / (settled - old);
    }
    injectors_.quantile(share, at);
    std::vector<Case> cases;
    cases.reserve(n);
    for (std::size_t i = 0; i < n; ++i) {
      Case one{.settled = lines_.settled()[i],
               .rail = rail[i],
               .bias = lines_.bias()[i],
               .weight = 1.0,
               .block = 0};
      if (with_line) one.line = mixed_line(i);
      if (target.missed_by(one.settled)) {
        one.burn_left_l = one.time_left_s = k_infinity;
      } else if (target.missed_by(one.rail)) {
        one.burn_left_l = std::max(
            0.0, lines_.burned_once_passed(i, at[i]) - lines_.burned_once_passed(i, passed_[i]));
        if (owner_.line_.has_rates()) {
          one.time_left_s = std::max(
              0.0, lines_.time_once_passed(i, at[i]) - lines_.time_once_passed(i, passed_[i]));
        }
      }
      cases.push_back(one);
    }
    return cases;
  }

  /// Content of all that case i's line holds.
  double mixed_line(std::size_t i) const {
    const models::PreparedChain chain(lines_.to_injectors().chain(i));
    return lines_.content(i, models::renewed_share(chain, lines_.volume_l(i), passed_[i]));
  }

  void tell_state(std::span<double> state) {
    const estimate::Limit& limit = state_->limit;
    // What is left to burn takes a search, which the others do not need.
    if (state_->of == State::Of::landed) {
      for (std::size_t i = 0; i < state.size(); ++i) state[i] = limit.beyond(lines_.settled()[i]);
    } else if (state_->of == State::Of::rail) {
      rail_now(state);
      for (double& value : state) value = limit.beyond(value);
    } else {
      const std::vector<Case> cases = cases_now(false);
      std::transform(cases.begin(), cases.end(), state.begin(), [&](const Case& one) {
        const double left = state_->of == State::Of::burn_left ? one.burn_left_l : one.time_left_s;
        if (std::isinf(left)) return k_never + limit.beyond(one.settled);
        return left > 0.0 ? left : std::min(0.0, limit.beyond(one.rail));
      });
    }
  }

  const Follow& owner_;
  const State* state_;
  tank::LinearBlend landing_;
  estimate::Workspace space_;
  LineBatch lines_;
  models::LaggedBatch sensor_;
  models::ChainBatch injectors_;
  std::vector<double> passed_, seen_;
};

}  // namespace blendrisk::line
