#include "estimate/mixture_gaps.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "numeric/vector_math.hpp"
#include "sampling/sobol.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::estimate {
namespace {

using sampling::Slot;

/// By the gauge alone, or by gauge and content together, both standard normal.
class TwoPlaces : public Integrand {
 public:
  void evaluate(sampling::CaseBatch& batch, BlendColumns& /*columns*/, std::span<double> f,
                std::span<double> /*limit_state*/) const override {
    const double* gauge = batch.column(Slot::gauge_error);
    const double* content = batch.column(Slot::content(0));
    for (std::size_t i = 0; i < f.size(); ++i) {
      const double z = (content[i] - 0.75) / 0.01;
      f[i] = gauge[i] > 4.0 || (gauge[i] < -1.5 && z < -4.0) ? 1.0 : 0.0;
    }
  }
};

class MixtureGaps : public ::testing::Test {
 protected:
  static constexpr double k_gauge_alone = 3.167e-5;  // upper tails of the normal law
  static constexpr double k_both = 0.0668 * k_gauge_alone;

  MixtureGaps() {
    for (std::size_t d = 0; d < 2; ++d) {
      sampling::scrambled_sobol(0, d, 17 + d, wide_.scores.row(d));
      for (double& u : wide_.scores.row(d)) u = 3.0 * numeric::normal_quantile(u);
    }
    wide_.evaluate(problem_, workspace_);
  }

  std::size_t gauge() const { return problem_.sampler.slots()[0] == Slot::gauge_error ? 0 : 1; }

  /// A part about a gauge error and a content, in scores.
  Shared about(double gauge_score, double content_score, double share) const {
    Shared part{sampling::own_component(2), share};
    part.component.mean[gauge()] = gauge_score;
    part.component.mean[1 - gauge()] = content_score;
    return part;
  }

  const scenario::Scenario scenario_ = testing::scenario_of(
      "[tank]\ncapacity = 60 L\n[heel]\nindicated = 6 L\ncontent = 10 %\n"
      "gauge-error = normal(0 L, 1 L)\n[fuel]\ncontent = normal(75 %, 1 %)\n"
      "[limits]\nminimum = 60 %\n");
  const sampling::CaseInputs inputs_{scenario_};
  const TwoPlaces event_;
  const Problem problem_{sampling::sampler_of_all(inputs_), &event_, 3, sampling::Purpose::below};
  Workspace workspace_{inputs_};
  Cloud wide_{2, 4096};
};

TEST_F(MixtureGaps, APartIsPutWhereNoneIs) {
  std::vector<Shared> parts{about(4.2, 0.0, 0.9), about(0.0, 0.0, 0.1)};
  const auto spent = fill_gaps(problem_, workspace_, k_gauge_alone, {&wide_, 1}, parts);
  EXPECT_GT(spent, 0U);
  ASSERT_GE(parts.size(), 3U);
  // A normal law beyond a threshold t has its mean between t and t + 1/t.
  EXPECT_NEAR(parts[2].component.mean[gauge()], -1.9, 0.5);
  EXPECT_NEAR(parts[2].component.mean[1 - gauge()], -4.2, 0.5);
  double sum = 0.0;
  for (const Shared& part : parts) sum += part.share;
  EXPECT_NEAR(sum, 1.0, 1e-12);
  EXPECT_NEAR(parts[0].share / parts[1].share, 9.0, 1e-9);
}

TEST_F(MixtureGaps, NoneIsPutWhereOneIs) {
  std::vector<Shared> parts{about(4.2, 0.0, 0.5), about(-1.9, -4.2, 0.4), about(0.0, 0.0, 0.1)};
  const double chance = k_gauge_alone + k_both;
  EXPECT_EQ(fill_gaps(problem_, workspace_, chance, {&wide_, 1}, parts), 0U);
  EXPECT_EQ(parts.size(), 3U);
}

TEST_F(MixtureGaps, NothingIsDoneWhereTheMeanIsNone) {
  std::vector<Shared> parts{about(0.0, 0.0, 1.0)};
  EXPECT_EQ(fill_gaps(problem_, workspace_, 0.0, {&wide_, 1}, parts), 0U);
}

}  // namespace
}  // namespace blendrisk::estimate
