#pragma once

#include "answer/guide.hpp"

/// What the page that computes says while someone types: fields, and an answer in the size of a
/// phone. Numbers carry where the JSON of their command has them.
namespace blendrisk::answer {

/// One key to be typed. One that the scenario does not give is empty.
struct LiveField {
  std::string key, value;
  Value label;
  std::string fallback{};              ///< what stands where it is empty
  std::vector<std::string> choices{};  ///< of one that takes words only
};

/// What may be different at the pump: what the gauge shows, and what each pump tested at.
std::vector<LiveField> pump_fields(const scenario::Scenario& scenario);
/// What the dispenser showed in the end of each fill, and what ended it.
std::vector<LiveField> done_fields(const scenario::Scenario& scenario);

/// A section of the scenario with all its keys.
struct LiveSection {
  std::string name;
  std::vector<LiveField> fields;
};
/// Those of the fills that the scenario has, in the order of the keys.
std::vector<LiveSection> all_fields(const scenario::Scenario& scenario);

/// Of several fills the steps from the first to driving on to the last, or why they cannot be
/// gone; nothing of one fill, and where the last is done.
std::vector<Block> live_legs(const Asked& asked, const estimate::ChanceResult& result);
/// The chance of the plan, or of the fill that is done, and where it lands.
std::vector<Block> live(const Asked& asked, const estimate::ChanceResult& result);
/// What to put in.
std::vector<Block> live(const Asked& asked, const decide::FillResult& result);
/// What to wait for, with the waiting table.
std::vector<Block> live(const Asked& asked, const decide::ArriveResult& result);
/// Whether to switch by now.
std::vector<Block> live(const Asked& asked, const Updated& updated);

/// The scenario with the keys given beside it, as text that reads as the same scenario.
std::string scenario_text(const scenario::Scenario& scenario);

}  // namespace blendrisk::answer
