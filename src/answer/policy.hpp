#pragma once

#include <string>
#include <vector>

#include "answer/answers.hpp"
#include "answer/figure.hpp"
#include "decide/policy.hpp"

/// What `policy` answers.
namespace blendrisk::answer {

struct PolicyPlaceName {
  std::size_t car = 0, pump = 0;  ///< from 0
  double changes = 0.0;
};

struct PolicyView {
  std::vector<std::string> cars, pumps;  ///< titles
  std::vector<PolicyPlaceName> places;   ///< those with changes, as in the result
  std::vector<std::string> persistent;   ///< keys, of any car
  bool measured = false;                 ///< some input is known by measured values
  decide::PolicyRequest request;
  decide::PolicyResult result;

  /// What to print on the wall: within the year's risk, else at the least cost, else at 1 %; where
  /// no risk of the grid keeps to the year's, the strictest at which anything is filled.
  const decide::PolicyYear& wall() const;
};

Description described(const Asked& asked, const PolicyView& view);
Json members(const Asked& asked, const PolicyView& view);

/// The chance of any miss in a year and what extra fuel and misses cost against the accepted risk.
Figure policy_figure(const PolicyView& view);

}  // namespace blendrisk::answer
