#include "models/sensor.hpp"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <gtest/gtest.h>

#include <limits>

namespace blendrisk::models::sensor_test {
namespace {

constexpr double k_ever = std::numeric_limits<double>::infinity();

TEST(Sensor, DisplayRoundsToItsStep) {
  EXPECT_NEAR(displayed(0.7349, 0.01), 0.73, 1e-15);
  EXPECT_NEAR(displayed(0.7351, 0.005), 0.735, 1e-15);
  EXPECT_EQ(displayed(0.7349, 0.0), 0.7349);
}

TEST(Sensor, WithoutLagItShowsWhatIsThere) {
  const Chain chain{{0.4, 0.1, 0.0}, 0.2, Pipe::laminar};
  LaggedShare share;
  share.prepare(chain, {}, 0.0);
  for (const double q : {0.0, 0.05, 0.3, 2.0}) {
    EXPECT_EQ(share.at(q), PreparedChain(chain).cdf(q));
  }
}

struct Line {
  Chain chain;
  std::vector<RatePhase> phases;
  double lag_s;
};

int lag(double t, const double y[], double dy[], void* params) {
  const auto& line = *static_cast<const Line*>(params);
  dy[0] = (residence_cdf(line.chain, pumped_volume(line.phases, t)) - y[0]) / line.lag_s;
  return GSL_SUCCESS;
}

// τ dL/dt = F − L over phases of changing rate, one without any flow, solved by the GNU Scientific
// Library.
TEST(Sensor, LagFollowsItsDifferentialEquation) {
  Line line{{{0.3, 0.12, 0.0}, 0.15, Pipe::laminar},
            {{0.25e-3, 200.0}, {1.2e-3, 90.0}, {0.0, 20.0}, {0.4e-3, k_ever}},
            25.0};
  LaggedShare share;
  share.prepare(line.chain, line.phases, line.lag_s);
  gsl_odeiv2_system system{lag, nullptr, 1, &line};
  gsl_odeiv2_driver* driver =
      gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rk8pd, 1e-2, 1e-11, 1e-11);
  double t = 0.0;
  double y[] = {0.0};
  for (const double to : {60.0, 199.0, 200.0, 240.0, 290.0, 310.0, 340.0, 900.0}) {
    // The rate jumps at the ends of phases: the solver starts anew there.
    gsl_odeiv2_driver_reset(driver);
    ASSERT_EQ(gsl_odeiv2_driver_apply(driver, &t, to, y), GSL_SUCCESS);
    if (to == 310.0) continue;  // no volume names this moment: as much was pumped at 290 s
    EXPECT_NEAR(share.at(pumped_volume(line.phases, to)), y[0], 1e-8) << to;
  }
  gsl_odeiv2_driver_free(driver);
}

TEST(Sensor, ConstantRateIsOneMoreStirredVolume) {
  const Chain chain{{0.3, 0.0, 0.0}, 0.1, Pipe::plug};
  const RatePhase phases[] = {{0.5e-3, 100.0}, {0.5e-3, k_ever}};
  LaggedShare share;
  share.prepare(chain, phases, 40.0);
  const PreparedChain longer(Chain{{0.3, 0.02, 0.0}, 0.1, Pipe::plug});
  for (const double q : {0.01, 0.05, 0.12, 0.5, 3.0}) {
    EXPECT_NEAR(share.at(q), longer.cdf(q), 1e-12);
  }
}

}  // namespace
}  // namespace blendrisk::models::sensor_test
