#include "sampling/score_mixture.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sampling/joint_sampler.hpp"
#include "sampling/sobol.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::sampling {
namespace {

TEST(ScoreMixture, RatioIsThatOfTheDensities) {
  const Component component{{-1.5, 0.0, 2.0}, {0.8, 1.0, 2.5}};
  Scores scores(3, 2);
  const double z[3][2] = {{0.3, -2.0}, {1.0, 4.0}, {-0.7, 6.0}};
  for (std::size_t d = 0; d < 3; ++d) std::copy_n(z[d], 2, scores.row(d).begin());
  const auto density = [](double x, double mean, double sd) {
    return std::exp(-0.5 * (x - mean) * (x - mean) / (sd * sd)) / sd;
  };
  std::vector<double> ratio{1.0, 2.0};
  std::vector<double> scratch(2);
  add_ratio(component, 0.25, scores, scratch, ratio);
  for (std::size_t i = 0; i < 2; ++i) {
    double wanted = 0.25;
    for (std::size_t d = 0; d < 3; ++d) {
      wanted *= density(z[d][i], component.mean[d], component.sd[d]) / density(z[d][i], 0.0, 1.0);
    }
    EXPECT_NEAR(ratio[i], (i == 0 ? 1.0 : 2.0) + wanted, 1e-12 * (1.0 + wanted));
  }
}

// Weighted by own/mixture density, points of a mixture have every law's own distribution function,
// far out too: for steps, a heavy tail and a U-shaped beta, and for correlated inputs. 5 standard
// errors of independent points, which scrambled ones keep within: false alarms below 6e-7 each.
// The twin: without the weights, orders are missed by far.
TEST(ScoreMixture, WeightsUndoIt) {
  for (const char* more : {"", "[correlation]\nheel.gauge-error, fuel.content = 0.7\n"}) {
    const auto scenario = testing::scenario_of(
        std::string("[tank]\ncapacity = 60 L\nclick-off = beta(58 L, 60 L, 0.3, 0.4)\n"
                    "[heel]\nindicated = 6 L\ncontent = 10 %\ngauge-error = student(0 L, 1 L, 2)\n"
                    "[fuel]\ncontent = triangular(70 %, 75 %, 80 %)\n"
                    "[limits]\nminimum = 60 %\n") +
        more);
    const CaseInputs inputs(scenario);
    const JointSampler sampler = sampler_of_all(inputs);
    constexpr std::size_t n = 1U << 14U;
    const std::vector<Component> parts{
        own_component(3), {{-3.0, 2.0, 0.5}, {0.8, 0.9, 1.0}}, {{0.0, 0.0, 0.0}, {2.5, 2.5, 1.0}}};
    Scores scores(sampler.size(), n * parts.size());
    CaseBatch batch(inputs, n * parts.size());
    for (std::size_t d = 0; d < sampler.size(); ++d) {
      for (std::size_t k = 0; k < parts.size(); ++k) {
        const std::span<double> z = scores.row(d).subspan(k * n, n);
        scrambled_sobol(0, d, 17 * d + k, z);
        take_scores(parts[k], d, z);
      }
      sampler.place(d, scores.row(d), batch);
    }
    std::vector<double> ratio(scores.points(), 0.0);
    std::vector<double> scratch(scores.points());
    for (const Component& part : parts) {
      add_ratio(part, 1.0 / static_cast<double>(parts.size()), scores, scratch, ratio);
    }
    for (const std::size_t slot : sampler.slots()) {
      const auto& law = inputs[slot].law;
      double far_off = 0.0;
      for (const double order : {1e-4, 0.1, 0.5, 0.9}) {
        const double x = distributions::quantile(law, order);
        double sum = 0.0;
        double squares = 0.0;
        double unweighted = 0.0;
        for (std::size_t i = 0; i < scores.points(); ++i) {
          if (batch.column(slot)[i] > x) continue;
          sum += 1.0 / ratio[i];
          squares += 1.0 / ratio[i] / ratio[i];
          unweighted += 1.0;
        }
        const auto all = static_cast<double>(scores.points());
        const double mean = sum / all;
        EXPECT_NEAR(mean, order, 5.0 * std::sqrt((squares / all - mean * mean) / all))
            << inputs.key(slot) << order;
        far_off = std::max(far_off, std::abs(unweighted / all - order));
      }
      EXPECT_GT(far_off, 0.03) << inputs.key(slot);
    }
  }
}

}  // namespace
}  // namespace blendrisk::sampling
