#pragma once

#include <string>
#include <vector>

#include "answer/carry.hpp"
#include "answer/description.hpp"
#include "answer/json.hpp"
#include "scenario/reading_text.hpp"
#include "scenario/scenario.hpp"

namespace blendrisk::decide {
struct FillResult;
struct HeelResult;
struct ArriveResult;
struct Drivers;
}  // namespace blendrisk::decide
namespace blendrisk::estimate {
struct Index;
}  // namespace blendrisk::estimate
namespace blendrisk::line {
struct Posterior;
struct Reading;
}  // namespace blendrisk::line

/// What each command answers: `described` for people, `members` as JSON. Contents and chances in
/// JSON are fractions, volumes litres, times seconds; what does not exist is null and has a
/// neighbour named after it with `_reason` at the end.
namespace blendrisk::answer {

/// What an answer is about beside its result.
struct Asked {
  const scenario::Scenario& scenario;
  const estimate::Options& options;
  UnitSystem units = UnitSystem::metric;  ///< of what people read
  double elapsed_s = 0.0;
};

/// `chance`: the verdict, the chances, the landed content, how it was computed.
Description described(const Asked& asked, const estimate::ChanceResult& result);
Json members(const Asked& asked, const estimate::ChanceResult& result);

/// What it says for the next changeover, where that was asked for.
std::vector<Line> carried(const Asked& asked, const estimate::ChanceResult& result);

/// `fill`: what to put in, the margin and why, what would do where no amount does.
Description described(const Asked& asked, const decide::FillResult& result);
Json members(const Asked& asked, const decide::FillResult& result);

/// `heel`: how empty to run first, the window or why there is none, the plan with two fills.
Description described(const Asked& asked, const decide::HeelResult& result);
Json members(const Asked& asked, const decide::HeelResult& result);

/// `arrive`: the reading to wait for, what to burn without a sensor, how the fuel comes in.
Description described(const Asked& asked, const decide::ArriveResult& result);
Json members(const Asked& asked, const decide::ArriveResult& result);

/// What `update` found.
struct Updated {
  const line::Posterior& posterior;
  std::string note{};       ///< one more, none where it is empty
  std::size_t skipped = 0;  ///< lines of a stream that were none
};

/// `update`: whether the injectors get fuel within the limit by now, and what is left to burn.
Description described(const Asked& asked, const Updated& updated);
Json members(const Asked& asked, const Updated& updated);

/// What is to be said of how the readings fit, sensor and line.
std::vector<Value> update_notes(const Asked& asked, const line::Posterior& result);

std::vector<Line> carried(const Asked& asked, const Updated& updated);

/// One line of it, for readings that come in one by one, `reading` the last. Where the injectors
/// are within the risk it carries the short caution: someone may switch by it.
Value one_line(const line::Posterior& result, const line::Reading& reading);

/// Where there are no odds, with the reason.
Json without_odds(const Asked& asked, const std::string& reason, std::size_t skipped);

/// What is to be said of a log: columns that are not read, and where its clock was taken to start;
/// empty where there is nothing.
std::string log_note(const scenario::AboutLog& about, bool by_time);

/// `drivers`: what knowing each input would be worth, and its share of the spread.
Description described(const Asked& asked, const decide::Drivers& result);
Json members(const Asked& asked, const decide::Drivers& result);
/// An index as a share.
Value share(const estimate::Index& index);

}  // namespace blendrisk::answer
