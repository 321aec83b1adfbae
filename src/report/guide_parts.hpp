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

/// Why the plan is none, what was tried and would do in its place, or that nothing would.
std::string guide_without_plan(const GuideView& view);

/// Amounts from other readings and of other contents, and how far the plan may be off.
std::string guide_amounts(const GuideView& view);

/// What the gauge shows in the plan, to what it can show or finer where the plan is.
std::string planned_reading(const GuideView& view);

/// A reading of `heel` with where it has it.
std::string heel_reading(const GuideView& view, const std::string& member, double reading_l);

/// "18.87 to 22.52 L", the amounts that `fill` allows; there has to be one.
std::string fill_amounts(const GuideView& view);

}  // namespace blendrisk::report
