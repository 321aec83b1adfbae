#include <gtest/gtest.h>

#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <vector>

#include "distributions/families.hpp"
#include "sampling/random_streams.hpp"
#include "sampling/sobol.hpp"
#include "sampling/xoshiro.hpp"

// Worked examples of JCGM 101:2008, Supplement 1 to the "Guide to the expression of uncertainty in
// measurement" (figures from memory, except those that follow from a formula given), drawn by both
// kinds of points.
namespace blendrisk {
namespace {

using distributions::Distribution;

constexpr std::size_t k_cases = 1U << 20U;

struct Output {
  double mean, sd;
  std::vector<double> sorted;
  /// The coverage interval with equal tails, and the shortest one.
  std::array<double, 2> symmetric(double cover) const {
    const auto n = static_cast<double>(sorted.size());
    return {sorted[static_cast<std::size_t>(n * (1.0 - cover) / 2.0)],
            sorted[static_cast<std::size_t>(n * (1.0 + cover) / 2.0)]};
  }
  std::array<double, 2> shortest(double cover) const {
    const auto width = static_cast<std::size_t>(cover * static_cast<double>(sorted.size()));
    std::size_t best = 0;
    for (std::size_t i = 0; i + width < sorted.size(); ++i) {
      if (sorted[i + width] - sorted[i] < sorted[best + width] - sorted[best]) best = i;
    }
    return {sorted[best], sorted[best + width]};
  }
};

using Model = std::function<double(const double*)>;

Output propagate(const std::vector<Distribution>& inputs, const Model& model, bool sobol) {
  std::vector<std::vector<double>> x(inputs.size(), std::vector<double>(k_cases));
  for (std::size_t d = 0; d < inputs.size(); ++d) {
    if (sobol) {
      sampling::scrambled_sobol(0, d, sampling::stream_key({1, d}), x[d]);
    } else {
      sampling::Xoshiro(sampling::stream_key({2, d})).fill(x[d]);
    }
    distributions::quantile(inputs[d], x[d], x[d]);
  }
  Output output{};
  output.sorted.resize(k_cases);
  std::vector<double> one(inputs.size());
  double sum = 0.0;
  for (std::size_t i = 0; i < k_cases; ++i) {
    for (std::size_t d = 0; d < inputs.size(); ++d) one[d] = x[d][i];
    output.sorted[i] = model(one.data());
    sum += output.sorted[i];
  }
  output.mean = sum / k_cases;
  double squares = 0.0;
  for (const double y : output.sorted) squares += (y - output.mean) * (y - output.mean);
  output.sd = std::sqrt(squares / k_cases);
  std::sort(output.sorted.begin(), output.sorted.end());
  return output;
}

double sum_of_four(const double* x) {
  return x[0] + x[1] + x[2] + x[3];
}

Distribution rectangular(double sd) {
  return distributions::uniform(-sd * std::numbers::sqrt3, sd * std::numbers::sqrt3);
}

// Bounds: 5 standard errors of a million independent cases (false alarms 6e-7 each): u/1000 for the
// mean, u sqrt((κ + 2)/4n) for u, and for a quantile of order p sqrt(p (1 − p)/n)/density, here
// 0.0027 u for a normal law at 0.975. Published figures are rounded besides.

TEST(Jcgm101, Clause922FourNormals) {
  for (const bool sobol : {true, false}) {
    const auto y = propagate(std::vector<Distribution>(4, distributions::normal(0.0, 1.0)),
                             sum_of_four, sobol);
    EXPECT_NEAR(y.mean, 0.0, 0.01);
    EXPECT_NEAR(y.sd, 2.00, 5.0 * 2.0 / std::sqrt(2.0 * k_cases));
    EXPECT_NEAR(y.symmetric(0.95)[0], -3.92, 0.027 + 0.005);
    EXPECT_NEAR(y.symmetric(0.95)[1], 3.92, 0.027 + 0.005);
  }
}

TEST(Jcgm101, Clause923FourRectangulars) {
  // Exact: ±2√3 (2 − (3/5)^(1/4)).
  const double end = 2.0 * std::numbers::sqrt3 * (2.0 - std::pow(0.6, 0.25));
  EXPECT_NEAR(end, 3.88, 0.005);
  for (const bool sobol : {true, false}) {
    const auto y = propagate(std::vector<Distribution>(4, rectangular(1.0)), sum_of_four, sobol);
    EXPECT_NEAR(y.mean, 0.0, 0.01);
    EXPECT_NEAR(y.sd, 2.00, 5.0 * 2.0 / std::sqrt(2.0 * k_cases));
    EXPECT_NEAR(y.symmetric(0.95)[0], -end, 0.027);
    EXPECT_NEAR(y.symmetric(0.95)[1], end, 0.027);
  }
}

TEST(Jcgm101, Clause924OneRectangularMuchWider) {
  const std::vector<Distribution> inputs{rectangular(1.0), rectangular(1.0), rectangular(1.0),
                                         rectangular(10.0)};
  for (const bool sobol : {true, false}) {
    const auto y = propagate(inputs, sum_of_four, sobol);
    EXPECT_NEAR(y.mean, 0.0, 0.05);
    EXPECT_NEAR(y.sd, 10.1, 5.0 * 10.1 / std::sqrt(2.0 * k_cases) + 0.05);
    EXPECT_NEAR(y.sd, std::sqrt(103.0), 5.0 * 10.1 / std::sqrt(2.0 * k_cases));
    EXPECT_NEAR(y.symmetric(0.95)[0], -17.0, 0.05);
    EXPECT_NEAR(y.symmetric(0.95)[1], 17.0, 0.05);
    // A normal law of the same u would say ±19.9: told apart.
    EXPECT_GT(19.9 - y.symmetric(0.95)[1], 2.5);
  }
}

TEST(Jcgm101, Clause93MassCalibration) {
  // Deviation from nominal, in milligrams, of a mass W calibrated against R in air.
  const std::vector<Distribution> inputs{
      distributions::normal(100000.000, 0.050), distributions::normal(1.234, 0.020),
      distributions::uniform(1.10, 1.30), distributions::uniform(7000.0, 9000.0),
      distributions::uniform(7950.0, 8050.0)};
  const auto model = [](const double* x) {
    return (x[0] + x[1]) * (1.0 + (x[2] - 1.2) * (1.0 / x[3] - 1.0 / x[4])) - 100000.0;
  };
  for (const bool sobol : {true, false}) {
    const auto y = propagate(inputs, model, sobol);
    EXPECT_NEAR(y.mean, 1.2341, 5.0 * 0.0754 / 1000.0 + 5e-5);
    EXPECT_NEAR(y.sd, 0.0754, 5.0 * 0.0754 / std::sqrt(2.0 * k_cases) + 5e-5);
    // The shortest interval's ends move more than their distance: a fifth of u at most.
    EXPECT_NEAR(y.shortest(0.95)[0], 1.0834, 0.003);
    EXPECT_NEAR(y.shortest(0.95)[1], 1.3825, 0.003);
    // First-order propagation says [1.1285, 1.3395]: told apart.
    EXPECT_LT(y.shortest(0.95)[0], 1.12);
  }
}

TEST(Jcgm101, Clause649RepeatedIndications) {
  // Four indications: mean 75, s = sqrt(10/3) (deviations −2, −1, 1, 2), t of 3 degrees of freedom,
  // shifted by 75 and scaled by s/√4; u = sqrt((n − 1)/(n − 3)) s/√n.
  const std::vector<double> values{73.0, 74.0, 76.0, 77.0};
  const double scale = std::sqrt(10.0 / 3.0) / 2.0;
  const Distribution law = distributions::tests(values);
  const boost::math::students_t_distribution<> t(3.0);
  for (const bool sobol : {true, false}) {
    const auto y = propagate(
        {law}, [](const double* x) { return x[0]; }, sobol);
    for (const double order : {0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975}) {
      const double wanted = 75.0 + scale * boost::math::quantile(t, order);
      const double got = y.sorted[static_cast<std::size_t>(order * k_cases)];
      const double error = std::sqrt(order * (1.0 - order) / k_cases) * scale /
                           boost::math::pdf(t, (wanted - 75.0) / scale);
      EXPECT_NEAR(got, wanted, 5.0 * error) << order;
    }
  }
  // Its fourth moment is infinite, so u converges slowly; nine indications have one.
  const std::vector<double> nine{71.0, 72.0, 73.0, 74.0, 75.0, 76.0, 77.0, 78.0, 79.0};
  const double s = std::sqrt(60.0 / 8.0);
  const auto y = propagate(
      {distributions::tests(nine)}, [](const double* x) { return x[0]; }, true);
  EXPECT_NEAR(y.sd, std::sqrt(8.0 / 6.0) * s / 3.0, 0.005);
}

}  // namespace
}  // namespace blendrisk
