#include "answer/waiting.hpp"

#include <cmath>

#include "answer/reasons.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {

using decide::ArriveResult;
using decide::WaitingRow;

namespace {

/// A share of some ten thousand cases.
Value share(double fraction) {
  return fraction > 0.9995 && fraction < 1.0 ? say("more_than", percent(0.9995))
                                             : percent(fraction, 3);
}

}  // namespace

Section waiting_section(const ArriveResult& result) {
  const decide::WaitingTable& table = result.waiting;
  const bool has_time = result.arrival.has_time;
  Section section;
  section.grid.head = {say("waiting.burned")};
  section.grid.widths.assign({10});
  if (has_time) {
    section.grid.head.push_back(say("waiting.time"));
    section.grid.widths.push_back(12);
  }
  const bool rising = result.arrival.target.below();
  section.grid.head.push_back(say(rising ? "waiting.shows.more" : "waiting.shows.less"));
  section.grid.head.push_back(say("waiting.met"));
  section.grid.head.push_back(say("waiting.within"));
  section.grid.widths.insert(section.grid.widths.end(), {18, 16});
  for (const WaitingRow& row : table.rows) {
    section.grid.lines.push_back({volume(row.burn_l)});
    auto& line = section.grid.lines.back();
    if (has_time) line.push_back(row.time_s ? time(*row.time_s) : say("unknown"));
    line.push_back(content(row.reading));
    line.push_back(share(row.shown_by_then));
    line.push_back(share(row.within));
  }
  return section;
}

Value waiting_followed(const Asked& asked, const ArriveResult& result) {
  const decide::WaitingTable& table = result.waiting;
  const Value outside = beyond_limit(result.arrival.target);
  const bool to_the_limit =
      std::abs(table.rows.back().reading - result.arrival.target.value) < 1e-9;
  return joined({say("waiting.followed", share(table.triggers), outside, chance(table.too_early),
                     accepted(asked)),
                 say("waiting.after", volume(table.every_l), volume(table.until_l)),
                 say(to_the_limit ? "waiting.not_met.limit" : "waiting.not_met", outside)});
}

Json waiting_members(const ArriveResult& result) {
  const decide::WaitingTable& table = result.waiting;
  Members object;
  if (table.rows.empty()) {
    const std::string why = reason(*table.why_none);
    const std::optional<double> none;
    for (const char* key : {"rows", "triggers", "too_early"}) object(key, none, why);
    return object;
  }
  Json rows = Json::array();
  for (const WaitingRow& row : table.rows) {
    rows.push_back(Members()("burn", row.burn_l)("time", row.time_s, "none.rate"_w)(
        "reading", row.reading)("shown_by_then", row.shown_by_then)("within", row.within));
  }
  object("rows", rows)("every", table.every_l)("until", table.until_l);
  return object("triggers", table.triggers)("too_early", table.too_early);
}

}  // namespace blendrisk::answer
