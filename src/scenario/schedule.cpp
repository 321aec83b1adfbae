#include "scenario/schedule.hpp"

#include <algorithm>

#include "text/error.hpp"
#include "text/letter_case.hpp"
#include "text/number.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"
#include "units/quantity.hpp"

namespace blendrisk::scenario {
namespace {

using text::Error;

Phase parse_phase(std::string_view text, bool last, const std::string& accepted) {
  const std::size_t end = std::min(text.find_first_of(" \t"), text.size());
  const std::string word = text::in_lower_case(text.substr(0, end));
  const std::string_view time = text::trimmed(text.substr(end));
  if (word != "gentle" && word != "idle") throw Error(text::in_quotes(text) + " is no phase");
  if (last && !time.empty()) {
    throw Error("the last phase " + text::in_quotes(text) + " goes on and carries no time");
  }
  Phase phase{word == "gentle" ? Load::gentle : Load::idle, {}};
  if (last) return phase;
  const std::string what = "the phase " + text::in_quotes(text);
  if (time.empty()) throw Error(what + " needs a time, only the last has none");
  phase.duration_s = units::parse_quantity(time, units::Dimension::time, accepted);
  if (!(*phase.duration_s > 0.0)) throw Error(what + " takes no time");
  return phase;
}

}  // namespace

std::vector<Phase> parse_schedule(std::string_view text, const std::string& accepted) {
  if (const std::string_view odd = text::first_with_comma(text); !odd.empty()) {
    const text::CommaFault comma = text::comma_fault(odd);
    throw Error(text::in_quotes(odd) + " " + comma.wrong + ", " + comma.advice);
  }
  const std::vector<std::string_view> parts = text::pieces(text, ',');
  std::vector<Phase> phases;
  for (const std::string_view& part : parts) {
    phases.push_back(parse_phase(part, &part == &parts.back(), accepted));
  }
  return phases;
}

}  // namespace blendrisk::scenario
