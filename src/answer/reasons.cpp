#include "answer/reasons.hpp"

#include <cmath>

#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

/// The words of a member of an enum, by ids in its order.
template <class Enum, std::size_t count>
std::string one_of(const std::array<const char*, count>& ids, Enum which) {
  return std::string(words(ids.at(static_cast<std::size_t>(which))));
}

/// The same in English, of what stands in a line that refuses.
template <class Enum, std::size_t count>
std::string english_of(const std::array<const char*, count>& ids, Enum which) {
  return std::string(english(ids.at(static_cast<std::size_t>(which))));
}

}  // namespace

std::string reason(decide::NoWindow why) {
  return one_of(std::array{"none.within_dry", "none.apart", "none.reading"}, why);
}

std::string reason(decide::NoBurn why) {
  return one_of(std::array{"none.leaves_slowly", "none.falls_slowly", "none.few_values",
                           "none.tank_too_often"},
                why);
}

std::string reason(decide::NoReading why) {
  return one_of(std::array{"none.hardly_shown", "none.nearly_shown", "none.few_values_early",
                           "none.within_already"},
                why);
}

std::string reason(const learn::Fitted& not_told) {
  return filled(one_of(std::array{"learn.none_shown", "learn.wide", "learn.not_apart",
                                  "learn.no_such_line", "learn.as_well_without"},
                       *not_told.not_told),
                {not_told.pair[0], not_told.pair[1]});
}

std::string reason(const estimate::ImpossibleScenario& why) {
  return filled(
      english_of(std::array{"impossible.empty_tank", "impossible.no_line", "impossible.no_rate",
                            "impossible.no_rate_by_time", "impossible.figure", "impossible.done",
                            "impossible.second_look", "impossible.look_to_plan"},
                 why.why),
      {why.key, why.needs});
}

std::string reason(const line::NoPosterior& why) {
  return filled(
      english_of(std::array{"no_odds.no_reading", "no_odds.contradiction", "no_odds.few"}, why.why),
      {std::to_string(static_cast<int>(why.effective_cases))});
}

std::string reason(const learn::UntellingLog& why) {
  return filled(
      english_of(std::array{"log.few_rows", "log.steady", "log.nothing_burned", "log.no_rate"},
                 why.why),
      {std::to_string(why.rows), std::to_string(why.unknowns), std::to_string(why.least_rows)});
}

Value said(const learn::Note& note) {
  static constexpr std::array k_ids{
      "learn.note.idle_varies",    "learn.note.stirred_order",  "learn.note.mean_of_both",
      "learn.note.other_flow",     "learn.note.either_flow",    "learn.note.display_steps",
      "learn.note.correlated",     "learn.note.bias_in_levels", "learn.note.no_rate",
      "learn.note.no_rate_spread", "learn.note.ends_early",     "learn.note.scatters",
      "learn.note.clock_zero"};
  // Millilitres, or a share in percent.
  const double scale = note.what == learn::Note::What::either_flow ? 1000.0 : 100.0;
  return say(k_ids.at(static_cast<std::size_t>(note.what)), text(note.key),
             count(static_cast<std::uint64_t>(std::lround(scale * note.value))));
}

Value said(const estimate::LessSure& side) {
  const bool below = side.side == estimate::Side::below;
  return side.tilted ? say(below ? "note.few_carry.below" : "note.few_carry.above")
                     : say(below ? "note.no_tilt.below" : "note.no_tilt.above");
}

}  // namespace blendrisk::answer
