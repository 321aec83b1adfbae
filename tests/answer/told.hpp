#pragma once

#include "answer/curve.hpp"
#include "answer/table.hpp"
#include "decide/arrive.hpp"
#include "decide/drivers.hpp"
#include "decide/fill.hpp"
#include "render/text.hpp"

/// Answers as their commands tell them.
namespace blendrisk::testing {

template <class Result>
std::string text_of(const scenario::Scenario& scenario, const Result& result,
                    const estimate::Options& options,
                    answer::UnitSystem units = answer::UnitSystem::metric) {
  return render::text(described(answer::Asked{scenario, options, units}, result), units);
}

template <class Result>
std::string json_of(const scenario::Scenario& scenario, const Result& result,
                    const estimate::Options& options, double elapsed_s) {
  const answer::Asked asked{scenario, options, answer::UnitSystem::metric, elapsed_s};
  return answer::closed(members(asked, result));
}

inline std::string text_of(const answer::TableView& view, const estimate::Options& options,
                           answer::UnitSystem units) {
  return text_of(view.scenarios.front(), view, options, units);
}

inline std::string json_of(const answer::TableView& view, const estimate::Options& options,
                           double elapsed_s) {
  return json_of(view.scenarios.front(), view, options, elapsed_s);
}

inline std::string text_of(const answer::CurveView& view, const estimate::Options& options,
                           answer::UnitSystem units) {
  return text_of(view.scenario, view, options, units);
}

}  // namespace blendrisk::testing
