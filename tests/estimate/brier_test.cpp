#include "estimate/brier.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "estimate/interval.hpp"

namespace blendrisk::estimate {
namespace {

/// Chances of rain at Niamey on the 92 days from July to September 2016 by four forecasts
/// (logistic regression, EMOS, ensemble of 52, climatology), and whether it rained: data of R's
/// package reliabilitydiag. The last two are shares of 52 and of 589, to so many digits as tell.
struct Day {
  double logistic, emos, ensemble, climatology, rain;
};
constexpr Day k_niamey[] = {
    // clang-format off
    {0.560838, 0.470928, 0.846, 0.4924, 0},
    {0.367803, 0.447237, 0.731, 0.4958, 1},
    {0.470878, 0.428769, 0.404, 0.5008, 1},
    {0.494576, 0.506429, 0.808, 0.5212, 0},
    {0.494393, 0.489267, 0.942, 0.5246, 1},
    {0.619165, 0.507685, 0.962, 0.5348, 1},
    {0.274538, 0.428683, 0.385, 0.5297, 0},
    {0.469887, 0.451318, 0.788, 0.5229, 0},
    {0.749910, 0.444081, 0.635, 0.5246, 1},
    {0.727039, 0.460119, 0.808, 0.5348, 0},
    {0.680202, 0.576877, 1, 0.5348, 1},
    {0.294205, 0.733408, 1, 0.5331, 0},
    {0.540560, 0.496902, 0.923, 0.5416, 1},
    {0.707570, 0.484750, 0.769, 0.5450, 0},
    {0.474234, 0.440986, 0.596, 0.5501, 0},
    {0.707161, 0.327749, 0.481, 0.5552, 1},
    {0.891904, 0.485977, 0.885, 0.5586, 1},
    {0.699991, 0.712037, 1, 0.5671, 1},
    {0.510005, 0.615842, 1, 0.5722, 1},
    {0.798306, 0.880166, 1, 0.5789, 1},
    {0.467426, 0.542219, 1, 0.5823, 1},
    {0.635360, 0.447185, 0.769, 0.5823, 0},
    {0.709568, 0.524927, 0.981, 0.5772, 1},
    {0.583232, 0.603247, 1, 0.5789, 1},
    {0.419934, 0.631914, 1, 0.5772, 0},
    {0.665754, 0.466454, 0.942, 0.5823, 1},
    {0.681083, 0.426926, 0.442, 0.5857, 0},
    {0.597650, 0.507547, 0.942, 0.5976, 1},
    {0.567638, 0.592864, 0.981, 0.5959, 0},
    {0.473226, 0.428305, 0.462, 0.6010, 1},
    {0.842354, 0.573998, 0.962, 0.5959, 1},
    {0.501989, 0.534583, 0.923, 0.5942, 0},
    {0.456455, 0.463515, 0.75, 0.6027, 0},
    {0.808130, 0.654386, 1, 0.5993, 1},
    {0.298357, 0.591882, 1, 0.5976, 0},
    {0.429492, 0.458116, 0.692, 0.5925, 0},
    {0.884361, 0.478734, 0.885, 0.5925, 1},
    {0.726775, 0.517635, 0.923, 0.5959, 0},
    {0.694631, 0.656439, 1, 0.6010, 1},
    {0.714115, 0.776044, 1, 0.6061, 1},
    {0.678203, 0.742817, 0.981, 0.6129, 1},
    {0.742717, 0.588376, 1, 0.6231, 0},
    {0.485769, 0.481443, 0.923, 0.6180, 1},
    {0.669303, 0.457153, 0.731, 0.6112, 1},
    {0.331071, 0.430642, 0.788, 0.6095, 1},
    {0.731022, 0.567278, 1, 0.6078, 1},
    {0.535004, 0.734643, 1, 0.6095, 1},
    {0.756644, 0.682966, 1, 0.6078, 1},
    {0.446510, 0.556675, 1, 0.5993, 1},
    {0.637541, 0.625345, 0.942, 0.5942, 1},
    {0.454294, 0.445614, 0.192, 0.5874, 0},
    {0.331648, 0.458296, 0.673, 0.5874, 0},
    {0.323202, 0.328248, 0.327, 0.5823, 0},
    {0.701490, 0.473759, 0.885, 0.5789, 1},
    {0.721293, 0.784154, 1, 0.5772, 1},
    {0.323045, 0.626384, 1, 0.5705, 0},
    {0.698542, 0.518020, 0.904, 0.5637, 1},
    {0.735801, 0.577490, 1, 0.5552, 1},
    {0.713988, 0.922643, 1, 0.5450, 1},
    {0.535703, 0.510830, 1, 0.5416, 1},
    {0.497983, 0.467208, 0.808, 0.5348, 0},
    {0.417287, 0.458181, 0.808, 0.5365, 1},
    {0.262728, 0.229376, 0.173, 0.5314, 1},
    {0.369286, 0.450558, 0.519, 0.5195, 1},
    {0.742149, 0.461198, 0.596, 0.5144, 1},
    {0.395124, 0.512287, 0.942, 0.5110, 0},
    {0.660972, 0.569710, 0.981, 0.5178, 1},
    {0.430481, 0.477653, 0.692, 0.5076, 1},
    {0.256074, 0.484378, 0.692, 0.4958, 0},
    {0.673931, 0.499090, 0.904, 0.4890, 1},
    {0.512620, 0.562134, 0.962, 0.4805, 0},
    {0.245475, 0.481196, 0.942, 0.4584, 1},
    {0.459806, 0.582063, 1, 0.4448, 1},
    {0.362500, 0.445203, 0.365, 0.4363, 0},
    {0.734487, 0.452816, 0.635, 0.4312, 1},
    {0.634387, 0.566899, 1, 0.4194, 0},
    {0.644228, 0.558345, 0.981, 0.4109, 0},
    {0.275399, 0.444143, 0.212, 0.4007, 0},
    {0.466505, 0.458223, 0.596, 0.3973, 0},
    {0.326661, 0.455697, 0.385, 0.3888, 0},
    {0.328950, 0.490299, 0.885, 0.3837, 0},
    {0.474788, 0.483599, 0.846, 0.3769, 1},
    {0.334980, 0.493804, 0.692, 0.3616, 0},
    {0.355896, 0.485237, 0.827, 0.3497, 1},
    {0.510856, 0.479919, 0.904, 0.3430, 1},
    {0.427252, 0.315523, 0.154, 0.3328, 0},
    {0.446492, 0.461870, 0.654, 0.3260, 1},
    {0.213667, 0.478518, 0.904, 0.3192, 1},
    {0.363029, 0.485983, 0.923, 0.3124, 0},
    {0.196083, 0.448050, 0.135, 0.3107, 0},
    {0.234979, 0.315084, 0.115, 0.2988, 0},
    {0.189795, 0.196234, 0.192, 0.2903, 0},
    // clang-format on
};

std::vector<double> column(double Day::*member, double parts = 0.0) {
  std::vector<double> all;
  for (const Day& day : k_niamey) {
    all.push_back(parts > 0.0 ? std::round(day.*member * parts) / parts : day.*member);
  }
  return all;
}

// The package's own README prints 0.232, 0.0183, 0.0305 and 0.244 for EMOS; the further digits and
// the other three were recomputed from its data by a script that is not ours here.
TEST(Brier, PartsOfRainAtNiameyAreThePublishedOnes) {
  const std::vector<double> rain = column(&Day::rain);
  const struct {
    std::vector<double> chances;
    double score, miscalibration, discrimination;
  } published[] = {{column(&Day::emos), 0.232025, 0.018283, 0.030469},
                   {column(&Day::logistic), 0.205746, 0.017076, 0.055541},
                   {column(&Day::ensemble, 52.0), 0.266168, 0.066072, 0.044115},
                   {column(&Day::climatology, 589.0), 0.234282, 0.022350, 0.032279}};
  for (const auto& each : published) {
    const BrierParts parts = brier_parts(each.chances, rain);
    EXPECT_NEAR(parts.score, each.score, 1e-6);
    EXPECT_NEAR(parts.miscalibration, each.miscalibration, 1e-6);
    EXPECT_NEAR(parts.discrimination, each.discrimination, 1e-6);
    EXPECT_NEAR(parts.uncertainty, 0.244211, 5e-7);
    EXPECT_NEAR(parts.score, parts.miscalibration - parts.discrimination + parts.uncertainty,
                1e-15);
  }
}

TEST(Brier, RecalibratedChancesRiseAndPoolWhatFalls) {
  const std::vector<double> chances{0.9, 0.1, 0.5, 0.5, 0.3};
  const std::vector<double> came{1.0, 1.0, 0.0, 1.0, 0.0};
  // In rising order 1, 0, (0, 1), 1: the first three blocks pool to 2/4.
  EXPECT_EQ(recalibrated(chances, came), (std::vector<double>{1.0, 0.5, 0.5, 0.5, 0.5}));
  EXPECT_EQ(recalibrated(std::vector<double>{0.2}, std::vector<double>{1.0}),
            std::vector<double>{1.0});
}

// Outcomes drawn by the chances themselves lie in the band in 95 % of sets at each chance, within
// 4.4 standard errors of 400 sets and the grain of 1000 draws; by chances squared they do not.
TEST(Brier, TheBandHoldsWhatHonestChancesGive) {
  std::vector<double> chances;
  for (int i = 0; i < 60; ++i) chances.push_back((i + 0.5) / 60.0);
  const ReliabilityBand band = reliability_band(chances, 3);
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> uniform;
  int held = 0;
  int held_twin = 0;
  for (int set = 0; set < 400; ++set) {
    std::vector<double> came, twin;
    for (const double chance : chances) {
      const double u = uniform(random);
      came.push_back(u < chance ? 1.0 : 0.0);
      twin.push_back(u < chance * chance ? 1.0 : 0.0);
    }
    const auto in = [&](const std::vector<double>& of) {
      const double fit = recalibrated(chances, of)[30];
      return band.low[30] <= fit && fit <= band.high[30] ? 1 : 0;
    };
    held += in(came);
    held_twin += in(twin);
  }
  EXPECT_NEAR(held / 400.0, 0.95, 4.4 * std::sqrt(0.95 * 0.05 / 400.0) + 0.01);
  EXPECT_LT(held_twin, 280);
}

// Equal chances make the binomial law: of 20 of 0.1 the shares at or below 4 and 5 are 0.9568 and
// 0.9887, at none 0.1216 (from tables of it, from memory).
TEST(Brier, ExpectedMissesOfEqualChancesAreBinomial) {
  const ExpectedMisses found = expected_misses(std::vector<double>(20, 0.1));
  EXPECT_NEAR(found.mean, 2.0, 1e-12);
  EXPECT_EQ(found.range, (std::array<std::uint64_t, 2>{0, 5}));
  const ExpectedMisses none = expected_misses(std::vector<double>(5, 0.0));
  EXPECT_EQ(none.range, (std::array<std::uint64_t, 2>{0, 0}));
  const ExpectedMisses all = expected_misses(std::vector<double>(5, 1.0));
  EXPECT_EQ(all.range, (std::array<std::uint64_t, 2>{5, 5}));
}

// Of many rows the ends that no longer matter are left out: against the normal law with a
// correction for whole numbers, 50 000 +- 1.96 * 158.1.
TEST(Brier, ExpectedMissesOfManyRows) {
  const ExpectedMisses found = expected_misses(std::vector<double>(100'000, 0.5));
  EXPECT_NEAR(static_cast<double>(found.range[0]), 50'000.0 - 309.9, 1.5);
  EXPECT_NEAR(static_cast<double>(found.range[1]), 50'000.0 + 309.9, 1.5);
}

// 2 of 20: 1.23 % to 31.70 % (Clopper and Pearson's interval by its beta quantiles, computed with
// SciPy's beta.ppf); 0 of n: 1 - 0.025^(1/n).
TEST(Brier, SharesHaveClopperAndPearsonsInterval) {
  const Estimate some = clopper_pearson(2, 20);
  EXPECT_NEAR(some.interval[0], 0.0123, 5e-5);
  EXPECT_NEAR(some.interval[1], 0.3170, 5e-5);
  EXPECT_NEAR(clopper_pearson(0, 20).interval[1], 1.0 - std::pow(0.025, 0.05), 1e-12);
}

}  // namespace
}  // namespace blendrisk::estimate
