#include "learn/sensor_law.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "learn/least_squares.hpp"
#include "learn/variance_components.hpp"
#include "models/sensor.hpp"

namespace blendrisk::learn {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double k_least_told = 0.01;

/// What the display rounds and the tester adds to reading − test.
double foreign_variance(const SensorQuestion& question) {
  return models::rounding_variance(question.step) + question.tester.variance;
}

/// True bias of what was seen against the tester.
StudentLaw true_bias(const StudentLaw& seen, const TesterError& tester) {
  StudentLaw law = widened(seen, tester.bias_sd * tester.bias_sd);
  law.center += tester.bias;
  return law;
}

bool differ(const VectorXd& values) {
  return values.size() > 0 && values.maxCoeff() > values.minCoeff();
}

LawOfSensor law_of(const std::vector<SensorCheck>& checks, const SensorQuestion& question) {
  LawOfSensor law;
  const auto all = static_cast<Index>(checks.size());
  MatrixXd design = MatrixXd::Ones(all, 2);
  VectorXd off(all);
  for (Index i = 0; i < all; ++i) {
    const SensorCheck& check = checks[static_cast<std::size_t>(i)];
    design(i, 1) = check.test - question.at.value_or(0.0);
    off[i] = check.reading - check.test;
  }
  law.off = outlying_rows(design.leftCols(1), off);
  std::vector<Index> kept;
  for (Index i = 0; i < all; ++i) {
    if (!std::ranges::binary_search(law.off, static_cast<std::size_t>(i))) kept.push_back(i);
  }
  const MatrixXd rows = design(kept, Eigen::all);
  const VectorXd values = off(kept);
  law.checks = kept.size();
  law.mean = values.mean();
  if (law.checks < 2) {
    law.none = NoSensorLaw::one_check;
    return law;
  }
  if (!differ(values)) {
    law.none = NoSensorLaw::all_equal;
    return law;
  }
  LeastSquares fit = least_squares(rows.leftCols(1), values);
  law.slope_asked = law.checks >= 4 && question.at && differ(rows.col(1));
  if (law.slope_asked) {
    const LeastSquares line = least_squares(rows, values);
    law.slope_chance = chance_of_no_effect(fit, line);
    if (law.slope_chance < k_least_told && line.squares > 0.0) {
      law.slope = line.effects[1];
      fit = line;
    }
  }
  law.sd = std::sqrt(fit.variance());
  law.bias = true_bias({fit.effects[0], std::sqrt(fit.variance() * fit.inverse(0, 0)), fit.dof},
                       question.tester);
  const double noise = fit.variance() - foreign_variance(question);
  law.tester_explains_all = noise <= 0.0;
  law.noise = std::sqrt(std::max(noise, 0.0));
  return law;
}

}  // namespace

SensorLaws sensor_laws(const std::vector<SensorCheck>& checks, const SensorQuestion& question) {
  std::vector<std::vector<SensorCheck>> by_car;
  for (const SensorCheck& check : checks) {
    if (check.car >= by_car.size()) by_car.resize(check.car + 1);
    by_car[check.car].push_back(check);
  }
  SensorLaws laws;
  std::vector<std::vector<double>> differences;
  for (const std::vector<SensorCheck>& of_car : by_car) {
    laws.cars.push_back(law_of(of_car, question));
    const std::vector<std::size_t>& off = laws.cars.back().off;
    differences.emplace_back();
    for (std::size_t i = 0; i < of_car.size(); ++i) {
      if (std::ranges::binary_search(off, i)) continue;
      differences.back().push_back(of_car[i].reading - of_car[i].test);
    }
  }
  if (laws.cars.size() < 2) return laws;
  const NestedValues values = nested(differences);
  const OneWay table = one_way(values);
  if (table.between_squares + table.within_squares > 0.0) {
    laws.between_sd = std::sqrt(estimated(values).group);
    laws.new_sensor = true_bias(next_group(values, EffectRow::Ones(1), 0), question.tester);
  }
  if (table.within_dof > 0.0 && table.within_squares > 0.0) {
    laws.sensors_alike = table.chance_alike();
    laws.pooled_told = true;
    laws.pooled_noise =
        std::sqrt(std::max(table.within_mean_square() - foreign_variance(question), 0.0));
  }
  return laws;
}

}  // namespace blendrisk::learn
