#include "learn/variance_components.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

namespace blendrisk::learn::variance_components_test {
namespace {

using Values = std::vector<std::vector<double>>;

const Values k_dyestuff = {{1545, 1440, 1440, 1520, 1580}, {1540, 1555, 1490, 1560, 1495},
                           {1595, 1550, 1605, 1510, 1560}, {1445, 1440, 1595, 1465, 1545},
                           {1595, 1630, 1515, 1635, 1625}, {1520, 1455, 1450, 1480, 1445}};

// Davies and Goldsmith's yields of dyestuff; all values as printed in the documentation of lme4.
TEST(VarianceComponents, DyestuffByRestrictedLikelihood) {
  const NestedValues values = nested(k_dyestuff);
  const Components variances = estimated(values);
  EXPECT_NEAR(variances.group, 1764.05, 5e-3);
  EXPECT_NEAR(variances.residual, 2451.25, 5e-3);
  const NestedFit fit = fit_nested(values, variances);
  EXPECT_NEAR(fit.criterion, 319.6543, 5e-5);
  EXPECT_NEAR(fit.effects[0], 1527.5, 1e-9);
  EXPECT_NEAR(std::sqrt(fit.covariance(0, 0)), 19.38, 5e-3);
  const std::array<double, 6> effects = {-17.6068514, 0.3912634,  28.5622255,
                                         -23.0845384, 56.7331877, -44.9952868};
  for (std::size_t i = 0; i < effects.size(); ++i) EXPECT_NEAR(fit.groups[i], effects[i], 2e-6);
}

TEST(VarianceComponents, DyestuffByFullLikelihood) {
  const NestedValues values = nested(k_dyestuff);
  const Components variances = estimated(values, {}, true);
  EXPECT_NEAR(std::sqrt(variances.group), 37.26, 5e-3);
  EXPECT_NEAR(fit_nested(values, variances).likelihood, 327.3271, 5e-5);
}

// ASTM E691, glucose in serum, 8 laboratories with three tests each of a material, as in R's
// package ILS, whose printed means and standard deviations of all 40 cells these values give in
// every digit. They are from memory but for material B, laboratories 4 and 7, which are made to do
// so (the standard's own B is remembered otherwise, with 1.4949 and 1.5796). Repeatability and
// reproducibility as printed there, the latter never below the former (E691, 15.6, from memory).
struct Material {
  Values values;
  double repeatability, reproducibility;
};
const std::array<Material, 5> k_glucose = {{
    {{{41.03, 41.45, 41.37},
      {41.17, 42.00, 41.15},
      {41.01, 40.68, 42.66},
      {39.37, 42.37, 42.63},
      {41.88, 41.19, 41.32},
      {43.28, 40.50, 42.28},
      {41.08, 41.27, 39.02},
      {43.36, 42.65, 41.72}},
     1.0632,
     1.0632},
    {{{78.28, 78.18, 78.49},
      {77.78, 80.38, 79.54},
      {79.18, 79.72, 80.81},
      {84.08, 78.80, 80.01},
      {78.16, 79.58, 78.33},
      {78.66, 79.27, 81.75},
      {79.75, 81.45, 77.35},
      {80.44, 80.80, 79.80}},
     1.4961,
     1.4961},
    {{{132.66, 133.83, 133.10},
      {132.92, 136.90, 136.40},
      {132.61, 135.80, 135.36},
      {138.50, 148.30, 135.69},
      {131.90, 134.14, 133.76},
      {137.21, 135.14, 137.50},
      {130.97, 131.59, 134.92},
      {135.46, 135.14, 133.53}},
     2.7509,
     3.4789},
    {{{193.71, 193.59, 193.65},
      {190.88, 200.14, 194.30},
      {192.71, 193.28, 190.28},
      {195.85, 196.36, 199.43},
      {192.59, 191.44, 195.12},
      {195.34, 198.26, 198.13},
      {194.66, 191.99, 187.13},
      {197.56, 195.99, 200.82}},
     2.6251,
     3.3657},
    {{{292.78, 294.09, 292.89},
      {292.27, 309.40, 295.08},
      {295.53, 290.14, 292.34},
      {295.19, 295.44, 296.83},
      {293.93, 292.48, 294.28},
      {297.74, 296.80, 290.33},
      {287.29, 293.76, 289.36},
      {298.46, 295.28, 296.12}},
     3.9350,
     4.1923},
}};

TEST(VarianceComponents, GlucoseRepeatabilityAndReproducibility) {
  for (const Material& material : k_glucose) {
    const OneWay table = one_way(nested(material.values));
    const double within = table.within_mean_square();
    const double between = std::max(0.0, (table.between_mean_square() - within) / 3.0);
    EXPECT_NEAR(std::sqrt(within), material.repeatability, 5e-5);
    EXPECT_NEAR(std::sqrt(within + between), material.reproducibility, 5e-5);
    if (between == 0.0) continue;
    // Of a balanced table REML is the analysis of variance.
    const Components variances = estimated(nested(material.values));
    EXPECT_NEAR(std::sqrt(variances.residual + variances.group), material.reproducibility, 1e-4);
  }
}

// Of material B, the cells as R's package ILS prints them (read, seven digits).
TEST(VarianceComponents, GlucoseCells) {
  const std::array<double, 8> means{78.31667, 79.23333, 79.90333, 80.96333,
                                    78.69,    79.89333, 79.51667, 80.34667};
  const std::array<double, 8> deviations{0.1582193, 1.3268509, 0.8303212, 2.7660863,
                                         0.7754354, 1.636592,  2.059935,  0.5064912};
  for (std::size_t i = 0; i < means.size(); ++i) {
    const OneWay cell = one_way(nested({k_glucose[1].values[i]}));
    EXPECT_NEAR(cell.mean, means[i], 5e-6) << i;
    EXPECT_NEAR(std::sqrt(cell.within_mean_square()), deviations[i], 5e-7) << i;
  }
}

// Material C, laboratory 4: consistency statistics k 2.41 and h 2.14 (the same source).
TEST(VarianceComponents, GlucoseLaboratoryThatIsApart) {
  const Values& material = k_glucose[2].values;
  const OneWay table = one_way(nested(material));
  const OneWay own = one_way(nested({material[3]}));
  EXPECT_NEAR(std::sqrt(own.within_mean_square() / table.within_mean_square()), 2.41, 5e-3);
  EXPECT_NEAR((own.mean - table.mean) / std::sqrt(table.between_mean_square() / 3.0), 2.14, 5e-3);
}

// No variances make the criterion smaller than those of REML.
TEST(VarianceComponents, EstimateIsTheLowestPoint) {
  for (const Values& data : {k_dyestuff, Values{{1.0, 3.0}, {2.1, 2.0}, {1.4, 2.9}, {2.2}}}) {
    const NestedValues values = nested(data);
    const Components best = estimated(values);
    const double lowest = fit_nested(values, best).criterion;
    for (const double residual : {0.9, 0.99, 1.0, 1.01, 1.1}) {
      for (const double group : {0.0, 0.9, 0.99, 1.0, 1.01, 1.1}) {
        const Components other{residual * best.residual,
                               group * best.group + (best.group == 0.0 ? group - 0.9 : 0.0), 0.0};
        if (other.group < 0.0) continue;
        EXPECT_GE(fit_nested(values, other).criterion, lowest - 1e-9);
      }
    }
  }
}

// NIST StRD, SiRstv (was read in scipy 1.10,
// stats/tests/data/nist_anova).
TEST(OneWayTable, CertifiedResistivities) {
  const Values values = {{196.3052, 196.1240, 196.1890, 196.2569, 196.3403},
                         {196.3042, 196.3825, 196.1669, 196.3257, 196.0422},
                         {196.1303, 196.2005, 196.2889, 196.0343, 196.1811},
                         {196.2795, 196.1748, 196.1494, 196.1485, 195.9885},
                         {196.2119, 196.1051, 196.1850, 196.0052, 196.2090}};
  const OneWay table = one_way(nested(values));
  EXPECT_NEAR(table.between_squares, 5.11462616e-2, 1e-10);
  EXPECT_NEAR(table.within_squares, 2.1663656e-1, 1e-10);
  EXPECT_EQ(table.between_dof, 4.0);
  EXPECT_EQ(table.within_dof, 20.0);
  EXPECT_NEAR(table.f(), 1.18046237440255, 1e-9);
  EXPECT_NEAR(std::sqrt(table.within_mean_square()), 0.104076068334656, 1e-11);
}

// NIST StRD, SmLs09, was read there, too: nine treatments of 2001 values that begin with thirteen
// constant digits. The values of each are its level and then level -+ 0.1 in turn.
TEST(OneWayTable, CertifiedValuesOfManyConstantDigits) {
  const std::array<double, 9> levels = {0.4, 0.3, 0.5, 0.3, 0.5, 0.3, 0.5, 0.3, 0.5};
  Values values;
  for (const double level : levels) {
    std::vector<double> treatment{1e12 + level};
    for (int i = 0; i < 1000; ++i) {
      treatment.push_back(1e12 + (level - 0.1));
      treatment.push_back(1e12 + (level + 0.1));
    }
    values.push_back(treatment);
  }
  const OneWay table = one_way(nested(values));
  // Numbers of this size are read to the nearest 1.2e-4: means are off by up to 6e-5 of their 0.1.
  EXPECT_NEAR(table.f(), 2001.0, 2.0 * 6.1e-5 / 0.1 * 2001.0);
  EXPECT_NEAR(std::sqrt(table.within_mean_square()), 0.1, 5e-5);
}

// GUM H.5, tables H.9 and H.10 and (H.27): day means of a voltage standard and the standard
// deviations of five readings each, as in the tests of a public package.
TEST(OneWayTable, DaysOfAVoltageStandard) {
  const std::array<double, 10> means = {10.000172, 10.000116, 10.000013, 10.000144, 10.000106,
                                        10.000031, 10.000060, 10.000125, 10.000163, 10.000041};
  const std::array<double, 10> sds = {60, 77, 111, 101, 67, 93, 80, 73, 88, 86};
  NestedValues values;
  for (std::size_t i = 0; i < means.size(); ++i) {
    values.groups.push_back({0, 5.0, means[i], EffectRow::Ones(1)});
    values.within_squares += 4.0 * sds[i] * sds[i] * 1e-12;
    values.count += 5.0;
  }
  const OneWay table = one_way(values);
  EXPECT_NEAR(table.mean, 10.000097, 5e-7);
  EXPECT_NEAR(std::sqrt(table.between_mean_square() / 5.0), 57e-6, 0.5e-6);
  EXPECT_NEAR(std::sqrt(table.within_mean_square()), 85e-6, 0.5e-6);
  // The guide's ratio is that of both as it rounds them.
  const auto microvolts = [](double mean_square) {
    return std::round(1e6 * std::sqrt(mean_square));
  };
  const double between = microvolts(table.between_mean_square() / 5.0);
  const double within = microvolts(table.within_mean_square());
  EXPECT_NEAR(5.0 * between * between / (within * within), 2.25, 5e-3);
  EXPECT_NEAR(table.f(), 2.25, 0.02);
  // A balanced table's restricted likelihood has its maximum at the analysis of variance.
  const Components variances = estimated(values);
  EXPECT_NEAR(variances.residual / table.within_mean_square(), 1.0, 1e-5);
  EXPECT_NEAR(variances.group / ((table.between_mean_square() - table.within_mean_square()) / 5.0),
              1.0, 1e-5);
}

// One value a delivery is the prediction of one further value from n: a t with n - 1 degrees of
// freedom, scale s sqrt(1 + 1/n) (ISO 16269-8, from memory).
TEST(NextGroup, IsThePredictionIntervalOfSingleValues) {
  const NestedValues values = nested({{0.70}, {0.72}, {0.75}, {0.71}, {0.79}});
  const StudentLaw law = next_group(values, EffectRow::Ones(1), 0);
  EXPECT_NEAR(law.center, 0.734, 1e-12);
  EXPECT_NEAR(law.scale, std::sqrt(0.00532 / 4.0 * 1.2), 1e-12);
  EXPECT_NEAR(law.dof, 4.0, 1e-9);
}

// Where the residual is nothing beside the groups' spread, repeated values add nothing.
TEST(NextGroup, RepeatedValuesAreNoFurtherGroups) {
  const StudentLaw law =
      next_group(nested({{0.70, 0.7001, 0.6999}, {0.74, 0.7401, 0.7399}, {0.78, 0.7801, 0.7799}}),
                 EffectRow::Ones(1), 0);
  EXPECT_NEAR(law.center, 0.74, 1e-9);
  EXPECT_NEAR(law.scale, 0.04 * std::sqrt(4.0 / 3.0), 2e-3);
  EXPECT_NEAR(law.dof, 2.0, 0.1);
}

}  // namespace
}  // namespace blendrisk::learn::variance_components_test
