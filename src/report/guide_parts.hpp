#pragma once

#include <string>

#include "decide/guide.hpp"
#include "report/format.hpp"

/// Parts of the customer's guide that say what to do, each a section of the page.
namespace blendrisk::report {

/// What they read.
struct GuideView {
  const scenario::Scenario& scenario;
  const decide::Guide& guide;
  UnitSystem units;
};

/// The steps of the plan, or that it is none and what would do.
std::string guide_steps(const GuideView& view);

/// Amounts from other readings and of other contents, and how far the plan may be off.
std::string guide_amounts(const GuideView& view);

}  // namespace blendrisk::report
