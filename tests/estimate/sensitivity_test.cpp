#include "tank/landed_sensitivity.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "decide/drivers.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::estimate {
namespace {

using testing::scenario_of;

/// Student's t of 15 degrees of freedom at 1 − 5e-7: a false alarm in a million comparisons, for an
/// error of sixteen scramblings; and the twin, half of the claimed value, must lie beyond it.
constexpr double k_bound = 7.5;

void expect_index(const Index& index, double truth) {
  EXPECT_NEAR(index.value, truth, k_bound * index.standard_error + 1e-12);
  EXPECT_LT(index.standard_error, 0.02);
}

// Ishigami's function sin x₁ + 7 sin² x₂ + 0.1 x₃⁴ sin x₁ on (−π, π): S = 0.3139, 0.4424, 0 and
// T = 0.5576, 0.4424, 0.2437 (A. Saltelli et al., Global Sensitivity Analysis: The Primer, 2008,
// from memory; the closed form gives the digits).
TEST(Sensitivity, IshigamisFunction) {
  const auto ishigami = [](const std::vector<std::span<const double>>& u, std::span<double> f) {
    const auto x = [](double v) { return std::numbers::pi * (2.0 * v - 1.0); };
    for (std::size_t i = 0; i < f.size(); ++i) {
      const double s1 = std::sin(x(u[0][i]));
      const double s2 = std::sin(x(u[1][i]));
      f[i] = s1 + 7.0 * s2 * s2 + 0.1 * std::pow(x(u[2][i]), 4.0) * s1;
    }
  };
  const double pi4 = std::pow(std::numbers::pi, 4.0);
  const double variance = 0.1 * pi4 / 5.0 + 0.01 * pi4 * pi4 / 18.0 + 0.5 + 49.0 / 8.0;
  const double v1 = 0.5 * std::pow(1.0 + 0.1 * pi4 / 5.0, 2.0);
  const double v13 = 0.01 * pi4 * pi4 * (1.0 / 18.0 - 1.0 / 50.0);
  const auto all = sobol_indices(3, {0, 1, 2}, ishigami, 11, 1);
  ASSERT_EQ(all.size(), 3U);
  EXPECT_NEAR(v1 / variance, 0.3139, 5e-5);
  expect_index(all[0].first_order, v1 / variance);
  expect_index(all[1].first_order, 49.0 / 8.0 / variance);
  expect_index(all[2].first_order, 0.0);
  expect_index(all[0].total, (v1 + v13) / variance);
  expect_index(all[1].total, 49.0 / 8.0 / variance);
  expect_index(all[2].total, v13 / variance);
  // The twin: half the index would be seen.
  EXPECT_GT(0.5 * v1 / variance, k_bound * all[0].first_order.standard_error);
}

// Sobol's g-function Π (|4u − 2| + a)/(1 + a), a = 0, 1, 4.5, 9, 99: V_i = 1/(3 (1 + a_i)²),
// V = Π (1 + V_i) − 1, S_i = V_i/V, T_i = V_i Π_{j≠i} (1 + V_j)/V (same source).
TEST(Sensitivity, SobolsGFunction) {
  const std::vector<double> a{0.0, 1.0, 4.5, 9.0, 99.0};
  const auto g = [&](const std::vector<std::span<const double>>& u, std::span<double> f) {
    for (std::size_t i = 0; i < f.size(); ++i) {
      f[i] = 1.0;
      for (std::size_t d = 0; d < a.size(); ++d) {
        f[i] *= (std::abs(4.0 * u[d][i] - 2.0) + a[d]) / (1.0 + a[d]);
      }
    }
  };
  double product = 1.0;
  for (const double one : a) product *= 1.0 + 1.0 / (3.0 * (1.0 + one) * (1.0 + one));
  const auto all = sobol_indices(a.size(), {0, 1, 2, 3, 4}, g, 11, 2);
  for (std::size_t d = 0; d < a.size(); ++d) {
    const double v = 1.0 / (3.0 * (1.0 + a[d]) * (1.0 + a[d]));
    expect_index(all[d].first_order, v / (product - 1.0));
    expect_index(all[d].total, v * product / (1.0 + v) / (product - 1.0));
  }
}

// 10 L of a heel and 30 L of a pump, both normal: c = (10 c_h + 30 c_p)/40, an additive normal
// case; an input that changes nothing has no index.
TEST(Sensitivity, AdditiveNormalCaseByHand) {
  const scenario::Scenario scenario = scenario_of(
      "[tank]\ncapacity = 60 L\nclick-off = normal(60 L, 1 L)\n[heel]\nindicated = 10 L\n"
      "content = normal(30 %, 4 %)\n[fuel]\ncontent = normal(70 %, 2 %)\n[fill]\namount = 30 L\n"
      "[limits]\nminimum = 50 %\n");
  const sampling::CaseInputs inputs(scenario);
  const tank::LandedSensitivity result = tank::landed_sensitivity(inputs, 3);
  const double heel = 10.0 * 0.04;
  const double pump = 30.0 * 0.02;
  for (std::size_t d = 0; d < result.slots.size(); ++d) {
    const std::string key = inputs.key(result.slots[d]);
    const double truth = key == "heel.content"   ? heel * heel / (heel * heel + pump * pump)
                         : key == "fuel.content" ? pump * pump / (heel * heel + pump * pump)
                                                 : 0.0;
    expect_index(result.indices[d].first_order, truth);
    expect_index(result.indices[d].total, truth);
  }
  EXPECT_EQ(result.slots.size(), 3U);
}

TEST(Sensitivity, NothingUncertainHasNoIndices) {
  const scenario::Scenario scenario = scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 10 L\ncontent = 30 %\n[fuel]\ncontent = 70 %\n"
      "[limits]\nminimum = 50 %\n");
  EXPECT_TRUE(decide::find_drivers(scenario, {}, 0.01, 0.1).inputs.empty());
}

}  // namespace
}  // namespace blendrisk::estimate
