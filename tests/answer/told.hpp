#pragma once

#include "answer/curve.hpp"
#include "answer/table.hpp"
#include "decide/arrive.hpp"
#include "decide/drivers.hpp"
#include "decide/fill.hpp"
#include "render/text.hpp"

/// Answers as their commands tell them.
namespace blendrisk::answer::testing {

template <class Result>
std::string text_of(const scenario::Scenario& scenario, const Result& result,
                    const estimate::Options& options, UnitSystem units = UnitSystem::metric) {
  return render::text(described(Asked{scenario, options, units}, result), units);
}

template <class Result>
std::string json_of(const scenario::Scenario& scenario, const Result& result,
                    const estimate::Options& options, double elapsed_s) {
  return closed(members(Asked{scenario, options, UnitSystem::metric, elapsed_s}, result));
}

}  // namespace blendrisk::answer::testing
