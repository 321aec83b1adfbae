#pragma once

#include <cstdint>
#include <optional>

#include "estimate/point_law.hpp"
#include "estimate/result.hpp"
#include "scenario/scenario.hpp"

/// What a test of the tank is going to show.
namespace blendrisk::tank {

/// A test is the true content + tester.bias + a normal error of tester.sd, to the nearest
/// tester.step, held within [0, 1]. The content is where the scenario lands given all that is known
/// of its fills. A test of what the pump gave, by the same tester and with the same bias, is
/// evidence of the last fill's content by Bayes' theorem: it comes from the tests that fit, test −
/// bias − error, each weighted by the density that the scenario's law has there. A law with steps,
/// or correlated with other inputs, is drawn instead, and its cases weighted by how well they fit
/// the test, whose error then counts as 0.25 % at least. An exact content gives way to the test.
///
/// On scrambled Sobol' points of (seed, row), as many as are worth 2000 of equal weight, 131 072 at
/// most.
/// @param pump_test  none: not tested
/// @throws ImpossibleScenario where no case fits what is known, or all of those points are worth
/// less than 100; its key is the last figure, or the
///   content of the last fill where that excludes the test
estimate::PointLaw forecast_of_test(const scenario::Scenario& scenario,
                                    std::optional<double> pump_test, std::uint64_t seed,
                                    std::uint64_t row);

/// What plain arithmetic gives: every input at its mean, the amount what the dispenser showed, the
/// pump's content what its test showed.
double plain_landing(const scenario::Scenario& scenario, std::optional<double> pump_test);

}  // namespace blendrisk::tank
