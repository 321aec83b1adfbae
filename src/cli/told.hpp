#pragma once

#include "answer/answers.hpp"
#include "cli/options.hpp"
#include "render/text.hpp"

namespace blendrisk::cli {

/// The answer as it was asked for: for people, or as JSON.
template <class Result>
std::string told(const Arguments& arguments, const scenario::Scenario& scenario,
                 const Result& result, double elapsed_s) {
  const answer::Asked asked{scenario, arguments.options, arguments.units, elapsed_s};
  return arguments.json ? answer::closed(members(asked, result))
                        : render::text(described(asked, result), arguments.units);
}

}  // namespace blendrisk::cli
