#include "estimate/smc_sampler.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "models/infinity.hpp"

namespace blendrisk::estimate {
namespace {

/// No data but a limit state: (z_1 + ... + z_d)/sqrt(d), standard normal.
class Sum : public Likelihood {
 public:
  explicit Sum(double step = 0.0) : step_(step) {}
  void evaluate(const Eigen::ArrayXXd& z, std::span<double> old_data,
                std::span<double> new_data) override {
    for (std::size_t i = 0; i < new_data.size(); ++i) {
      const double sum = z.row(static_cast<Eigen::Index>(i)).sum();
      old_data[i] = 0.0;
      new_data[i] = sum / std::sqrt(static_cast<double>(z.cols()));
      if (step_ > 0.0) new_data[i] = step_ * std::floor(new_data[i] / step_);
    }
  }

 private:
  double step_;
};

double beyond(double level) {
  return 0.5 * std::erfc(level / std::sqrt(2.0));
}

struct Runs {
  double mean = 0.0, error = 0.0;  ///< of the mean
  double told_error = 0.0;         ///< root mean square of one run's
  int within = 0;                  ///< of the runs, those whose interval holds `truth`
};

template <class One>
Runs runs_of(int count, double truth, const One& one) {
  std::vector<MeanOfReplicates> all;
  for (int seed = 1; seed <= count; ++seed) all.push_back(one(static_cast<std::uint64_t>(seed)));
  Runs runs;
  double squares = 0.0;
  for (const MeanOfReplicates& run : all) {
    runs.mean += run.mean / count;
    squares += run.variance / count;
    const Estimate estimate = student_estimate(run);
    runs.within += estimate.interval[0] <= truth && truth <= estimate.interval[1] ? 1 : 0;
  }
  runs.told_error = std::sqrt(squares);
  double off = 0.0;
  for (const MeanOfReplicates& run : all) off += (run.mean - runs.mean) * (run.mean - runs.mean);
  runs.error = std::sqrt(off / (count - 1) / count);
  return runs;
}

// A normal tail in closed form. 40 seeds; t with 39 degrees of freedom is beyond 5.2 in one of
// 150 000 runs. The told error against the scatter: the ratio of the variances of 40 runs is beyond
// 2 in less than 1 of 1000. The 95 % interval misses 7 or more of 40 in 0.3 % (binomial).
TEST(Climb, MeetsTheTailOfANormalLaw) {
  constexpr int k_runs = 40;
  for (const double level : {1.5, 3.0, 4.2649}) {
    const Runs runs = runs_of(k_runs, beyond(level), [&](std::uint64_t seed) {
      SmcSampler sampler(4, 256, seed);
      const Climb climb = sampler.climb([] { return std::make_unique<Sum>(); }, level, 1e-9, 1);
      EXPECT_TRUE(climb.reached);
      EXPECT_EQ(climb.level, level);
      return climb.share;
    });
    EXPECT_LE(std::abs(runs.mean - beyond(level)), 5.2 * runs.error) << level << ' ' << runs.mean;
    const double told = runs.told_error * runs.told_error / (k_runs * runs.error * runs.error);
    EXPECT_GT(told, 0.5) << level;
    EXPECT_LT(told, 2.0) << level;
    EXPECT_LE(runs.told_error, 0.15 * beyond(level)) << level;
    EXPECT_GE(runs.within, k_runs - 6) << level;
  }
}

TEST(Climb, FindsTheLevelOfAShare) {
  const Runs runs = runs_of(40, 3.090232, [](std::uint64_t seed) {
    SmcSampler sampler(4, 256, seed);
    const Climb climb = sampler.climb([] { return std::make_unique<Sum>(); }, k_infinity, 1e-3, 1);
    EXPECT_FALSE(climb.reached);
    EXPECT_NEAR(climb.share.mean, 1e-3, 2e-5);
    return MeanOfReplicates{climb.level, 0.0, 0.0};
  });
  // The normal quantile at 99.9 %: statistics.NormalDist of Python. As above.
  EXPECT_LE(std::abs(runs.mean - 3.090232), 5.2 * runs.error) << runs.mean;
}

// Among cases that are alike the next level is the next value that there is.
TEST(Climb, TakesStepsOfAStateThatHasSome) {
  const Runs runs = runs_of(40, beyond(3.0), [](std::uint64_t seed) {
    SmcSampler sampler(2, 256, seed);
    const Climb climb = sampler.climb([] { return std::make_unique<Sum>(1.5); }, 2.0, 1e-9, 1);
    EXPECT_TRUE(climb.reached);
    return climb.share;
  });
  EXPECT_LE(std::abs(runs.mean - beyond(3.0)), 5.2 * runs.error) << runs.mean;
}

TEST(Climb, EndsWhereNoCaseIsHigher) {
  SmcSampler sampler(1, 256, 1);
  const Climb climb = sampler.climb([] { return std::make_unique<Sum>(100.0); }, 1.0, 1e-9, 1);
  EXPECT_FALSE(climb.reached);
  EXPECT_EQ(climb.level, 0.0);
  EXPECT_NEAR(climb.share.mean, 0.5, 1e-3);
}

TEST(Climb, SameOnAnyNumberOfThreads) {
  const auto share = [](unsigned threads) {
    SmcSampler sampler(3, 64, 9);
    return sampler.climb([] { return std::make_unique<Sum>(); }, 3.0, 1e-9, threads).share.mean;
  };
  EXPECT_EQ(share(1), share(3));
}

}  // namespace
}  // namespace blendrisk::estimate
