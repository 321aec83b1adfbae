#include <array>

#include "answer/between_fills.hpp"
#include "answer/waiting.hpp"
#include "answer/words.hpp"
#include "line/gap.hpp"

namespace blendrisk::answer {
namespace {

using decide::ArriveResult;

/// "0.2 L burned, 8 min" at one order of the quantiles.
Value at(const line::Spread& spread, std::size_t order, const std::string& source) {
  constexpr std::array k_orders{"0.025", "0.05", "0.5", "0.95", "0.975"};
  const auto from = [&](const char* member) {
    return source.empty() ? source : source + member + "/quantiles/" + k_orders.at(order);
  };
  const Value burned = volume((*spread.burn_l)[order]).from(from("burn"));
  if (!spread.time_s) return say("burned", burned);
  return say("both", say("burned", burned), time((*spread.time_s)[order]).from(from("time")));
}

Value between(const line::Spread& spread) {
  Value ends = say("range", volume((*spread.burn_l)[0]), volume((*spread.burn_l)[4]));
  if (!spread.time_s) return ends;
  return say("both", ends, say("range", time((*spread.time_s)[0]), time((*spread.time_s)[4])));
}

bool some(const line::Gap& gap) {
  return !gap.some.upper_bound_only && gap.some.chance > 0.0;
}

}  // namespace

Section gap_section(const Asked& asked, const ArriveResult& result) {
  const line::Gap& gap = *result.gap;
  Section section{.heading = say("gap.heading", old_band(asked.scenario.before)), .columns = 26};
  if (gap.leaves.burn_l) {
    section.rows.push_back({say("gap.leaves"), at(gap.leaves, 2, {})});
    section.rows.push_back({say("gap.leaves.middle"), between(gap.leaves)});
  } else {
    section.rows.push_back({say("gap.leaves"), say("gap.hardly_any")});
  }
  const line::Spread arrives{result.arrival.burn_l, result.arrival.time_s};
  section.rows.push_back(
      {say("gap.arrives"), arrives.burn_l ? at(arrives, 2, {}) : say("gap.hardly_any")});
  if (gap.lasts.burn_l) {
    section.rows.push_back({say("gap.lasts"), at(gap.lasts, 2, {})});
    section.rows.push_back({say("gap.lasts.most"), at(gap.lasts, 3, {})});
  }
  section.rows.push_back({say("gap.some"), text(shown(chance(gap.some)))});
  section.text = {say(some(gap) ? "gap.advice" : "gap.overlap")};
  return section;
}

Value gap_step(const Asked& asked, const ArriveResult& result) {
  if (!result.gap) return {};
  const line::Gap& gap = *result.gap;
  const Value bears = old_band(asked.scenario.before);
  if (!some(gap)) return say("guide.gap.none", bears);
  if (!gap.lasts.burn_l || (*gap.lasts.burn_l)[2] == 0.0) return say("guide.gap.some", bears);
  return say("guide.gap", bears, at(gap.lasts, 2, "arrive/gap/"), at(gap.lasts, 3, "arrive/gap/"));
}

std::optional<Json> gap_members(const ArriveResult& result) {
  if (!result.gap) return {};
  const line::Gap& gap = *result.gap;
  const std::string hardly = "none.hardly_arrives"_w;
  const std::string untimed = "none.rate_or_arrival"_w;
  Members object;
  object("chance", gap.some)("burn", quantiles(gap.lasts.burn_l), hardly);
  object("time", quantiles(gap.lasts.time_s), untimed);
  object("leaves", Json(Members()("burn", quantiles(gap.leaves.burn_l), "none.hardly_leaves"_w)(
                       "time", quantiles(gap.leaves.time_s), untimed)));
  return Json(object);
}

}  // namespace blendrisk::answer
