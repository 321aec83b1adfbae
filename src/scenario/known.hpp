#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "scenario/scenario.hpp"

/// What is done with every uncertain input of a scenario, row by row of the table of keys.
namespace blendrisk::scenario {

/// Every uncertain input exact, at its mean, held within its physical bounds.
Scenario at_means(Scenario scenario);

/// The scenario once the input of that key, which it has to have, is known to be `value`; those
/// correlated with it are as they are where its normal score is `score`.
Scenario known_at(Scenario scenario, const std::string& key, double value, double score);

/// The same with the score that its law gives the value, held within ±6: beyond that a score says
/// no more than that the value is at an end of the law.
Scenario known_at(Scenario scenario, const std::string& key, double value);

/// An input that is known by measured values alone.
struct Measured {
  std::string key;
  std::size_t count = 0;  ///< of the values, of those inside the window where there is one

  /// 1/(n + 1), the least chance that the values bear; see estimate/measured.hpp.
  double share() const { return 1.0 / (static_cast<double>(count) + 1.0); }
};

/// Those of a scenario, in the order of the key table.
std::vector<Measured> measured(const Scenario& scenario);

}  // namespace blendrisk::scenario
