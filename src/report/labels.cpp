#include "report/labels.hpp"

#include "report/format.hpp"
#include "scenario/correlation.hpp"
#include "scenario/keys.hpp"

namespace blendrisk::report {
std::string label(std::string_view key) {
  if (const scenario::Key* known = scenario::find_key(key)) return known->label;
  return scenario::is_correlation(key) ? "rank correlation (Spearman)" : std::string(key);
}

std::string held_note(const estimate::Held& held) {
  return held.key + " was held at its physical bound in " + short_text(100.0 * held.share, 2) +
         " % of cases";
}

std::string measured_note(const scenario::Measured& input) {
  return "The " + std::to_string(input.count) + " measured values of " + input.key +
         " bear no chance below about " + short_text(100.0 * input.share(), 2) +
         " % that rests on what lies beyond them: more tests, a law such as tests(...) or the one "
         "that learn prints, or a window, in [low, high], of what it can be at all, bear smaller "
         "ones.";
}

std::string_view stop_word(estimate::Stop stop) {
  switch (stop) {
    case estimate::Stop::exact:
      return "exact";
    case estimate::Stop::precision_reached:
      return "precision reached";
    case estimate::Stop::budget_spent:
      return "budget spent";
  }
  return "unknown";
}

}  // namespace blendrisk::report
