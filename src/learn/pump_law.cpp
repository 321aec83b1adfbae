#include "learn/pump_law.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>

#include "numeric/sampling_laws.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::learn {
namespace {

constexpr double k_year_days = 365.2425;
constexpr double k_least_years = 2.0;
constexpr double k_season_chance = 0.01;

EffectRow harmonic(double day) {
  const double phase = 2.0 * std::numbers::pi * day / k_year_days;
  return Eigen::RowVector3d(1.0, std::cos(phase), std::sin(phase));
}

/// One delivery's tests.
struct Delivery {
  std::size_t pump = 0;
  std::optional<double> day;  ///< of its first test
  std::vector<double> contents;
  std::vector<std::optional<double>> days;  ///< of each test
};

/// How far apart two tests of one delivery may be: what a known tester exceeds once in a hundred
/// logs of so many pairs; unknown, any distance.
double most_apart(double tester_variance, std::size_t pairs) {
  constexpr double k_false_alarm = 0.01;
  if (!(tester_variance > 0.0) || pairs == 0) return std::numeric_limits<double>::infinity();
  const double tail = 0.5 * k_false_alarm / static_cast<double>(pairs);
  return -numeric::normal_quantile(tail) * std::sqrt(2.0 * tester_variance);
}

/// Parts deliveries between tests of different days that the tester does not explain.
std::vector<Delivery> parted(const std::vector<Delivery>& all, double tester_variance,
                             std::size_t& partings) {
  std::size_t pairs = 0;
  for (const Delivery& one : all) {
    for (std::size_t i = 1; i < one.days.size(); ++i) pairs += one.days[i] > one.days[i - 1];
  }
  const double most = most_apart(tester_variance, pairs);
  std::vector<Delivery> parts;
  for (const Delivery& one : all) {
    parts.push_back({one.pump, one.day, {}, {}});
    for (std::size_t i = 0; i < one.contents.size(); ++i) {
      if (i > 0 && one.days[i] > one.days[i - 1] &&
          std::abs(one.contents[i] - one.contents[i - 1]) > most) {
        parts.push_back({one.pump, one.days[i], {}, {}});
        ++partings;
      }
      parts.back().contents.push_back(one.contents[i]);
      parts.back().days.push_back(one.days[i]);
    }
  }
  return parts;
}

std::vector<Delivery> deliveries_of(const std::vector<PumpTest>& tests, double within_days) {
  std::vector<std::size_t> order(tests.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return std::pair(tests[a].pump, tests[a].day) < std::pair(tests[b].pump, tests[b].day);
  });
  std::vector<Delivery> all;
  for (const std::size_t i : order) {
    const PumpTest& test = tests[i];
    const bool same = !all.empty() && all.back().pump == test.pump && test.day && all.back().day &&
                      *test.day - *all.back().day <= within_days;
    if (!same) all.push_back({test.pump, test.day, {}, {}});
    all.back().contents.push_back(test.content);
    all.back().days.push_back(test.day);
  }
  return all;
}

NestedValues values_of(const std::vector<Delivery>& deliveries, std::size_t pumps) {
  std::vector<std::vector<double>> contents;
  for (const Delivery& one : deliveries) contents.push_back(one.contents);
  NestedValues values = nested(contents);
  values.outers = pumps;
  for (std::size_t i = 0; i < deliveries.size(); ++i) {
    values.groups[i].outer = pumps > 1 ? deliveries[i].pump : 0;
  }
  return values;
}

NestedValues with_season(NestedValues values, const std::vector<Delivery>& deliveries) {
  for (std::size_t i = 0; i < deliveries.size(); ++i) {
    values.groups[i].covariates = harmonic(*deliveries[i].day);
  }
  return values;
}

/// Sets what the log says of a season; the values with it where it is told.
NestedValues seasoned(const NestedValues& values, const std::vector<Delivery>& deliveries,
                      std::optional<double> residual, Season& season) {
  const double dof =
      static_cast<double>(values.groups.size()) - 2.0 - static_cast<double>(values.outers);
  season.asked = season.years >= k_least_years && dof >= 3.0;
  if (!season.asked) return values;
  NestedValues with = with_season(values, deliveries);
  const double ratio = fit_nested(values, estimated(values, residual, true)).likelihood -
                       fit_nested(with, estimated(with, residual, true)).likelihood;
  // A likelihood ratio of few deliveries is not yet of the χ² law that it has of many; of one test
  // a delivery it is a function of F, which holds at any number.
  const double f =
      std::expm1(std::max(ratio, 0.0) / static_cast<double>(values.groups.size())) * dof / 2.0;
  season.chance = numeric::fisher_f_tail(2.0, dof, f);
  const NestedFit fit = fit_nested(with, estimated(with, residual));
  season.amplitude = fit.effects.tail(2).norm();
  const Eigen::Matrix2d covariance = fit.covariance.bottomRightCorner(2, 2);
  const double widest =
      Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(covariance).eigenvalues().maxCoeff();
  season.could_hide =
      season.amplitude + std::sqrt(2.0 * numeric::fisher_f_quantile(2.0, dof, 0.95) * widest);
  season.told = season.chance < k_season_chance;
  return season.told ? with : values;
}

/// The tester's variance as far as it is known, and how.
std::optional<double> residual_of(const NestedValues& values, const TesterError& tester,
                                  TesterScatter& scatter) {
  const bool repeated = values.within_dof() > 0.0;
  if (tester.variance > 0.0) {
    const bool more = repeated && values.within_squares / tester.variance >
                                      numeric::chi_squared_quantile(values.within_dof(), 0.99);
    scatter = more ? TesterScatter::more_in_log : TesterScatter::known;
    return more ? std::nullopt : std::optional(tester.variance);
  }
  scatter = repeated ? TesterScatter::from_log : TesterScatter::taken_as_none;
  return std::nullopt;
}

/// Analysis of variance of the deliveries' means by pump.
std::optional<double> chance_alike(const NestedValues& values) {
  std::vector<std::vector<double>> means(values.outers);
  for (const Group& group : values.groups) means[group.outer].push_back(group.mean);
  const OneWay table = one_way(nested(means));
  if (!(table.between_dof > 0.0) || !(table.within_mean_square() > 0.0)) return std::nullopt;
  return table.chance_alike();
}

/// A further delivery as it truly is: without the tester's bias.
StudentLaw true_content(const StudentLaw& tested, const TesterError& tester) {
  StudentLaw law = widened(tested, tester.bias_sd * tester.bias_sd);
  law.center -= tester.bias;
  return law;
}

double years_of(const std::vector<Delivery>& deliveries) {
  const auto [first, last] = std::ranges::minmax_element(
      deliveries, {}, [](const Delivery& one) { return one.day.value_or(0.0); });
  return (last->day.value_or(0.0) - first->day.value_or(0.0)) / k_year_days;
}

}  // namespace

PumpLaws pump_laws(const std::vector<PumpTest>& tests, const PumpQuestion& question) {
  PumpLaws laws;
  const std::vector<Delivery> deliveries = parted(deliveries_of(tests, question.same_delivery_days),
                                                  question.tester.variance, laws.partings);
  laws.tests = tests.size();
  laws.deliveries = deliveries.size();
  std::optional<double> last_day;
  for (const PumpTest& test : tests) {
    if (test.pump >= laws.pumps.size()) laws.pumps.resize(test.pump + 1);
    ++laws.pumps[test.pump].tests;
    laws.pumps[test.pump].mean += test.content;
    if (!test.day) ++laws.undated;
    last_day = std::max(last_day, test.day);
  }
  for (LawOfPump& pump : laws.pumps) pump.mean /= static_cast<double>(pump.tests);
  for (const Delivery& one : deliveries) ++laws.pumps[one.pump].deliveries;
  if (deliveries.size() < 2) {
    laws.none = NoPumpLaw::one_delivery;
    return laws;
  }
  laws.pumps_apart = deliveries.size() > laws.pumps.size();
  const NestedValues values = values_of(deliveries, laws.pumps_apart ? laws.pumps.size() : 1);
  if (one_way(values).between_squares + values.within_squares == 0.0) {
    laws.none = NoPumpLaw::all_equal;
    return laws;
  }
  const std::optional<double> residual = residual_of(values, question.tester, laws.scatter);
  if (laws.undated == 0) laws.season.years = years_of(deliveries);
  const NestedValues all = seasoned(values, deliveries, residual, laws.season);
  if (values.outers > 1) laws.pumps_alike = chance_alike(values);
  laws.components = estimated(all, residual);
  EffectRow covariates = EffectRow::Ones(1);
  if (laws.season.told) {
    laws.season.on_day = question.on_day ? question.on_day : last_day;
    covariates = harmonic(*laws.season.on_day);
  }
  const auto law_of = [&](std::optional<std::size_t> pump) {
    return true_content(next_group(all, covariates, pump, residual), question.tester);
  };
  if (values.outers == 1) {
    for (LawOfPump& pump : laws.pumps) {
      pump.law = &pump == &laws.pumps.front() ? law_of(0) : laws.pumps.front().law;
    }
    return laws;
  }
  for (std::size_t i = 0; i < laws.pumps.size(); ++i) {
    if (!question.only || *question.only == i) laws.pumps[i].law = law_of(i);
  }
  if (!question.only || *question.only >= laws.pumps.size()) laws.new_pump = law_of(std::nullopt);
  return laws;
}

}  // namespace blendrisk::learn
