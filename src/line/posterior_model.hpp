#pragma once

#include <algorithm>
#include <cmath>

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
      : owner_(owner), state_(state), landing_(owner.inputs_, {}), space_(owner.inputs_) {}

  void evaluate(const Eigen::ArrayXXd& z, std::span<double> old_data,
                std::span<double> new_data) override {
    follow(z, [&](std::size_t row, std::size_t i) {
      old_data[row] = likelihood_of(owner_.taken_);
      new_data[row] = state_ != nullptr ? state() : likelihood_of(owner_.next_);
      if (!owner_.inputs_.weighted()) return;
      (owner_.figures_taken_ ? old_data : new_data)[row] +=
          std::log(std::max(space_.columns.weight()[i], 1e-300));
    });
  }

  /// Σ misfit² over all readings of every row, and their distance from the prior's centre.
  std::vector<double> discrepancies(const Eigen::ArrayXXd& z) {
    std::vector<double> sums(static_cast<std::size_t>(z.rows()));
    follow(z, [&](std::size_t row, std::size_t i) {
      // A row of no columns would start behind no data at all.
      double sum = z.cols() == 0 ? 0.0 : z.row(static_cast<Eigen::Index>(row)).square().sum();
      if (owner_.inputs_.weighted()) sum += space_.columns.misfit()[i];
      for (const Reading& reading : owner_.taken_) {
        const double off = misfit(reading, seen(reading.moment));
        sum += off * off;
      }
      sums[row] = sum;
    });
    return sums;
  }

  /// The cases of one block, `weight` each.
  void add_cases(const Eigen::ArrayXXd& z, double weight, std::size_t block, bool with_line,
                 std::vector<Case>& cases) {
    follow(z,
           [&](std::size_t, std::size_t) { cases.push_back(case_of(weight, block, with_line)); });
  }

 private:
  /// Tells every row of z, with its number in its batch, once it is loaded.
  template <class Each>
  void follow(const Eigen::ArrayXXd& z, const Each& each) {
    const auto rows = static_cast<std::size_t>(z.rows());
    for (std::size_t from = 0; from < rows; from += estimate::Workspace::k_capacity) {
      const std::size_t n = std::min(estimate::Workspace::k_capacity, rows - from);
      draw(z, from, n);
      for (std::size_t i = 0; i < n; ++i) {
        load(i);
        each(from + i, i);
      }
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

  void load(std::size_t i) {
    owner_.line_.load(space_.batch, i, one_);
    old_ = owner_.line_.old_content(space_.batch, i);
    settled_ = one_.settled(space_.columns.a()[i], space_.columns.total()[i], old_);
    bias_ = owner_.line_.bias(space_.batch, i);
    lagged_.prepare(one_.to_sensor, one_.through, owner_.scenario_.sensor.lag_s);
  }

  double seen(const Moment& moment) const {
    return old_ + (settled_ - old_) * lagged_.at(one_.passed(moment)) + bias_;
  }

  double likelihood_of(const std::vector<Reading>& readings) const {
    double sum = 0.0;
    for (const Reading& reading : readings) sum += log_likelihood(reading, seen(reading.moment));
    return sum;
  }

  double passed_now() const { return one_.passed(owner_.readings_.back().moment); }

  double rail(const models::PreparedChain& chain, double passed) const {
    return old_ + (settled_ - old_) * chain.cdf(passed);
  }

  Case case_of(double weight, std::size_t block, bool with_line) const {
    const models::PreparedChain chain(one_.to_injectors);
    const double passed = passed_now();
    Case one{.settled = settled_, .rail = 0.0, .bias = bias_, .weight = weight, .block = block};
    one.rail = rail(chain, passed);
    if (with_line) {
      const double renewed = models::renewed_share(chain, one_.volume_l(), passed);
      one.line = old_ + (settled_ - old_) * renewed;
    }
    const estimate::Limit& target = owner_.target_;
    if (target.missed_by(settled_)) {
      one.burn_left_l = one.time_left_s = k_infinity;
    } else if (target.missed_by(one.rail)) {
      const double at = chain.quantile((target.compared() - old_) / (settled_ - old_));
      one.burn_left_l =
          std::max(0.0, one_.burned_once_passed(at) - one_.burned_once_passed(passed));
      if (owner_.line_.has_rates()) {
        one.time_left_s = std::max(0.0, one_.time_once_passed(at) - one_.time_once_passed(passed));
      }
    }
    return one;
  }

  double state() const {
    const estimate::Limit& limit = state_->limit;
    if (state_->of == State::Of::landed) return limit.beyond(settled_);
    // What is left to burn takes a search, which this does not need.
    if (state_->of == State::Of::rail) {
      return limit.beyond(rail(models::PreparedChain(one_.to_injectors), passed_now()));
    }
    const Case one = case_of(1.0, 0, false);
    const double left = state_->of == State::Of::burn_left ? one.burn_left_l : one.time_left_s;
    if (std::isinf(left)) return k_never + limit.beyond(settled_);
    return left > 0.0 ? left : std::min(0.0, limit.beyond(one.rail));
  }

  const Follow& owner_;
  const State* state_;
  tank::LinearBlend landing_;
  estimate::Workspace space_;
  LineCase one_;
  models::LaggedShare lagged_;
  double old_ = 0.0, settled_ = 0.0, bias_ = 0.0;
};

}  // namespace blendrisk::line
