#include "models/transit.hpp"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_odeiv2.h>
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <random>

#include "models/schedule.hpp"

// Residence laws as in Levenspiel, Chemical Reaction Engineering, and Fogler, Elements of Chemical
// Reaction Engineering (from memory; all follow from their definitions).
namespace blendrisk::models {
namespace {

TEST(Transit, OneStirredTankIsExponential) {
  for (const double q : {0.0, 0.01, 0.3, 1.0, 7.0, 60.0}) {
    EXPECT_NEAR(stirred_remaining({0.6, 0.0, 0.0}, q), std::exp(-q / 0.6), 1e-15);
    EXPECT_NEAR(stirred_remaining({0.0, 0.0, 0.6}, q), std::exp(-q / 0.6), 1e-15);
  }
}

// N equal tanks of total V: Erlang, remaining e^{−x} Σ x^k/k! with x = N q/V.
TEST(Transit, EqualTanksAreErlang) {
  for (const double q : {0.001, 0.1, 0.5, 2.0, 20.0}) {
    const double x = q / 0.2;
    EXPECT_NEAR(stirred_remaining({0.2, 0.2, 0.0}, q) / (std::exp(-x) * (1.0 + x)), 1.0, 1e-13);
    EXPECT_NEAR(stirred_remaining({0.2, 0.2, 0.2}, q) / (std::exp(-x) * (1.0 + x + 0.5 * x * x)),
                1.0, 1e-13);
  }
}

// Σ over tanks of V_i² e^{−q/V_i}/Π(V_i − V_j), in long double where the volumes are well apart.
TEST(Transit, DistinctTanksAreHypoexponential) {
  const long double v[] = {0.6L, 0.25L, 0.05L};
  for (const double q : {0.01, 0.2, 1.0, 5.0}) {
    long double sum = 0.0L;
    for (int i = 0; i < 3; ++i) {
      long double term = v[i] * v[i] * std::exp(-q / v[i]);
      for (int j = 0; j < 3; ++j) {
        if (j != i) term /= v[i] - v[j];
      }
      sum += term;
    }
    EXPECT_NEAR(stirred_remaining({0.6, 0.25, 0.05}, q) / static_cast<double>(sum), 1.0, 1e-12);
  }
}

TEST(Transit, OrderOfTanksDoesNotMatter) {
  std::mt19937_64 random(3);
  std::uniform_real_distribution<double> exponent(-6.0, 1.0);
  for (int i = 0; i < 2000; ++i) {
    const double a = std::pow(10.0, exponent(random));
    const double b = i % 3 == 0 ? a * (1.0 + 1e-7) : std::pow(10.0, exponent(random));
    const double c = i % 5 == 0 ? a * (1.0 - 1e-12) : std::pow(10.0, exponent(random));
    const double q = std::pow(10.0, exponent(random));
    const double one = stirred_remaining({a, b, c}, q);
    if (one < 1e-280) continue;
    for (const double other : {stirred_remaining({c, a, b}, q), stirred_remaining({b, c, a}, q),
                               stirred_remaining({c, b, a}, q)}) {
      ASSERT_NEAR(other / one, 1.0, 1e-12) << a << ' ' << b << ' ' << c << ' ' << q;
    }
    ASSERT_GE(one, 0.0);
    ASSERT_LE(one, 1.0 + 1e-15);
  }
}

// The tanks' own equations V_i c_i' = c_{i−1} − c_i, solved by the GNU Scientific Library.
int tanks(double, const double c[], double dc[], void* params) {
  const auto* v = static_cast<const double*>(params);
  dc[0] = (1.0 - c[0]) / v[0];
  dc[1] = (c[0] - c[1]) / v[1];
  dc[2] = (c[1] - c[2]) / v[2];
  return GSL_SUCCESS;
}

TEST(Transit, TanksAgreeWithTheirDifferentialEquations) {
  const std::array<double, 3> cases[] = {
      {0.6, 0.2, 0.05}, {0.3, 0.3, 0.3}, {0.3, 0.3000001, 0.1}, {0.02, 1.0, 0.5}};
  for (std::array<double, 3> v : cases) {
    gsl_odeiv2_system system{tanks, nullptr, 3, v.data()};
    gsl_odeiv2_driver* driver =
        gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rk8pd, 1e-4, 1e-13, 1e-13);
    double t = 0.0;
    double c[] = {0.0, 0.0, 0.0};
    for (const double q : {0.05, 0.3, 1.0, 3.0}) {
      ASSERT_EQ(gsl_odeiv2_driver_apply(driver, &t, q, c), GSL_SUCCESS);
      EXPECT_NEAR(residence_cdf({v, 0.0, Pipe::plug}, q), c[2], 1e-11) << q;
    }
    gsl_odeiv2_driver_free(driver);
  }
}

TEST(Transit, PipesAlone) {
  const Chain plug{{}, 0.15, Pipe::plug};
  EXPECT_EQ(residence_cdf(plug, 0.1499), 0.0);
  EXPECT_EQ(residence_cdf(plug, 0.15), 1.0);
  const Chain laminar{{}, 0.15, Pipe::laminar};
  EXPECT_EQ(residence_cdf(laminar, 0.07), 0.0);
  for (const double q : {0.08, 0.15, 1.0}) {
    EXPECT_NEAR(residence_cdf(laminar, q), 1.0 - 0.15 * 0.15 / (4.0 * q * q), 1e-15);
  }
}

/// ∫ f over [a, b] by GSL's adaptive rule.
double integral(const std::function<double(double)>& f, double a, double b) {
  gsl_integration_workspace* space = gsl_integration_workspace_alloc(5000);
  gsl_function function{
      [](double x, void* p) { return (*static_cast<const std::function<double(double)>*>(p))(x); },
      const_cast<std::function<double(double)>*>(&f)};
  double result = 0.0;
  double error = 0.0;
  gsl_integration_qag(&function, a, b, 1e-13, 1e-12, 5000, GSL_INTEG_GAUSS61, space, &result,
                      &error);
  gsl_integration_workspace_free(space);
  return result;
}

// The laminar pipe's density V²/(2 s³) from V/2 on, convolved with the tanks, by adaptive
// quadrature in ln s.
TEST(Transit, LaminarPipeConvolvedWithTanks) {
  gsl_set_error_handler_off();
  const std::array<double, 3> tanks_of[] = {
      {0.6, 0.2, 0.05}, {0.001, 0.0, 0.0}, {0.3, 0.3, 0.3}, {5.0, 0.0, 1e-3}};
  for (const auto& v : tanks_of) {
    for (const double pipe : {1e-5, 0.15, 2.0}) {
      for (const double q : {0.51 * pipe, 0.8 * pipe, 0.3, 1.5, 8.0}) {
        if (q <= 0.5 * pipe) continue;
        const auto density = [&](double y) {
          const double s = std::exp(y);
          return pipe * pipe / (2.0 * s * s) * (1.0 - stirred_remaining(v, q - s));
        };
        // Split where the tanks change fast, for the adaptive rule's sake.
        const double low = std::log(0.5 * pipe);
        const double high = std::log(q);
        double wanted = 0.0;
        constexpr int k_pieces = 64;
        double from = low;
        for (int i = 1; i <= k_pieces; ++i) {
          const double to = i == k_pieces ? high : high - (high - low) * std::pow(0.6, i);
          wanted += integral(density, from, to);
          from = to;
        }
        EXPECT_NEAR(residence_cdf({v, pipe, Pipe::laminar}, q), wanted, 1e-9)
            << v[0] << ' ' << pipe << ' ' << q;
      }
    }
  }
}

// ∫ (1 − F) dq is the mean, the sum of all volumes; the laminar pipe's tail beyond Q adds V²/4Q.
TEST(Transit, MeanResidenceIsTheVolume) {
  gsl_set_error_handler_off();
  const Chain plug{{0.6, 0.2, 0.05}, 0.15, Pipe::plug};
  const auto remaining = [&](double q) { return 1.0 - residence_cdf(plug, q); };
  EXPECT_NEAR(integral(remaining, 0.0, 0.15) + integral(remaining, 0.15, 30.0),
              residence_mean(plug), 1e-9);
  const Chain laminar{{0.6, 0.2, 0.05}, 0.15, Pipe::laminar};
  const auto left = [&](double q) { return 1.0 - residence_cdf(laminar, q); };
  double mean = integral(left, 0.0, 0.075) + integral(left, 0.075, 2.0);
  for (double q = 2.0; q < 1000.0; q *= 2.0) mean += integral(left, q, 2.0 * q);
  // Beyond: V²/4q², moved by the tanks' mean of 0.85 L.
  EXPECT_NEAR(mean + 0.15 * 0.15 / 4.0 / (1024.0 - 0.85), residence_mean(laminar), 1e-7);
}

// E[q²] = ∫ 2 q (1 − F) dq: N equal tanks of V in all have the variance V²/N, the tanks-in-series
// model (Levenspiel, Chemical Reaction Engineering, from memory); unequal ones Σ V_i²; a plug adds
// none.
TEST(Transit, VarianceIsTheSumOfSquares) {
  gsl_set_error_handler_off();
  const auto variance_of = [](const Chain& chain) {
    const auto second = [&](double q) { return 2.0 * q * (1.0 - residence_cdf(chain, q)); };
    const double split = std::max(chain.pipe_l, 1e-3);
    const double mean = residence_mean(chain);
    return integral(second, 0.0, split) + integral(second, split, 5.0) +
           integral(second, 5.0, 60.0) - mean * mean;
  };
  EXPECT_NEAR(variance_of({{0.2, 0.2, 0.2}, 0.0, Pipe::plug}), 0.6 * 0.6 / 3.0, 1e-9);
  EXPECT_NEAR(variance_of({{0.3, 0.3, 0.0}, 0.0, Pipe::plug}), 0.6 * 0.6 / 2.0, 1e-9);
  EXPECT_NEAR(variance_of({{0.6, 0.2, 0.05}, 0.15, Pipe::plug}), 0.36 + 0.04 + 0.0025, 1e-9);
}

TEST(Transit, RisesFromNoneToAllWhateverTheVolumes) {
  std::mt19937_64 random(9);
  std::uniform_real_distribution<double> exponent(-7.0, 1.0);
  const auto volume = [&] { return random() % 4 == 0 ? 0.0 : std::pow(10.0, exponent(random)); };
  for (int i = 0; i < 500; ++i) {
    const Chain chain{
        {volume(), volume(), volume()}, volume(), i % 2 == 0 ? Pipe::laminar : Pipe::plug};
    double last = 0.0;
    for (double q = 1e-9; q < 1e6; q *= 1.7) {
      const double f = residence_cdf(chain, q);
      ASSERT_GE(f, last - 1e-11);
      ASSERT_LE(f, 1.0 + 1e-11);
      last = f;
    }
    ASSERT_NEAR(last, 1.0, 1e-9);
    ASSERT_EQ(residence_cdf(chain, -1.0), 0.0);
  }
}

TEST(Schedule, VolumeAndTimeAreInverse) {
  constexpr double k_ever = std::numeric_limits<double>::infinity();
  const RatePhase phases[] = {{0.9 / 3600.0, 240.0}, {0.0, 60.0}, {4.0 / 3600.0, k_ever}};
  EXPECT_NEAR(pumped_volume(phases, 240.0), 0.06, 1e-15);
  EXPECT_NEAR(pumped_volume(phases, 300.0), 0.06, 1e-15);
  EXPECT_NEAR(pumped_volume(phases, 390.0), 0.16, 1e-15);
  for (const double volume : {0.0, 0.03, 0.061, 0.5, 20.0}) {
    EXPECT_NEAR(pumped_volume(phases, time_to_pump(phases, volume)), volume, 1e-14);
  }
  const RatePhase stops[] = {{0.001, 100.0}, {0.0, k_ever}};
  EXPECT_EQ(time_to_pump(stops, 0.2), k_ever);
  EXPECT_NEAR(time_to_pump(stops, 0.05), 50.0, 1e-12);
}

}  // namespace
}  // namespace blendrisk::models
