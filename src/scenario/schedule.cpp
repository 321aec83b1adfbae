#include "scenario/schedule.hpp"

#include <stdexcept>

#include "text/letter_case.hpp"
#include "text/number.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"
#include "units/quantity.hpp"

namespace blendrisk::scenario {
namespace {

using text::trimmed;

Phase parse_phase(std::string_view text, bool last) {
  const std::size_t end = text.find_first_of(" \t");
  const std::string word = text::in_lower_case(text.substr(0, end));
  Phase phase;
  if (word == "gentle") {
    phase.load = Load::gentle;
  } else if (word != "idle") {
    throw std::invalid_argument(text::in_quotes(text) + " is no phase");
  }
  const std::string_view time = end == std::string_view::npos ? "" : trimmed(text.substr(end));
  if (last && !time.empty()) {
    throw std::invalid_argument("the last phase " + text::in_quotes(text) +
                                " goes on and carries no time");
  }
  if (last) return phase;
  if (time.empty()) {
    throw std::invalid_argument("the phase " + text::in_quotes(text) +
                                " needs a time, only the last has none");
  }
  phase.duration_s = units::parse_quantity(time, units::Dimension::time);
  if (!(*phase.duration_s > 0.0)) {
    throw std::invalid_argument("the phase " + text::in_quotes(text) + " takes no time");
  }
  return phase;
}

}  // namespace

std::vector<Phase> parse_schedule(std::string_view text) {
  if (const std::string_view odd = text::first_with_comma(text); !odd.empty()) {
    const text::CommaFault comma = text::comma_fault(odd);
    throw std::invalid_argument(text::in_quotes(odd) + " " + comma.wrong + ", " + comma.advice);
  }
  std::vector<Phase> phases;
  for (bool more = true; more;) {
    const std::size_t comma = text.find(',');
    more = comma != std::string_view::npos;
    phases.push_back(parse_phase(trimmed(text.substr(0, comma)), !more));
    if (more) text.remove_prefix(comma + 1);
  }
  return phases;
}

}  // namespace blendrisk::scenario
