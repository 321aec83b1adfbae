#include <algorithm>

#include "answer/guide.hpp"
#include "answer/shared.hpp"

namespace blendrisk::answer {
namespace {

using decide::Cell;

bool any(const decide::GuideTable& table, bool (*holds)(const Cell&)) {
  return std::any_of(table.cells.begin(), table.cells.end(), holds);
}

bool has_largest(const Cell& cell) {
  return cell.other_end_l.has_value();
}

bool is_again(const Cell& cell) {
  return cell.again_from_l.has_value();
}

bool is_empty(const Cell& cell) {
  return !cell.litres;
}

Value unit(const Asked& asked) {
  return text(asked.units == UnitSystem::us ? "gal" : "L");
}

Value amount_in(const decide::GuideTable& table, std::size_t at) {
  const Cell& cell = table.cells[at];
  if (!cell.litres) return say("none");
  const std::string source = "table/" + std::to_string(at) + "/" +
                             exact_text(table.reading_of(at)) + "/" +
                             exact_text(table.content_of(at)) + "/";
  const auto amount = [&](double litres, const char* member) {
    return dispenser(litres).without_unit().from(source + member);
  };
  Value value = amount(*cell.litres, "safe_amount");
  if (cell.other_end_l) value = say("range", value, amount(*cell.other_end_l, "largest_amount"));
  return cell.again_from_l ? say("guide.table.marked", value) : value;
}

Block table_of(const Asked& asked, const decide::GuideTable& table) {
  Block block{.kind = Block::Kind::table,
              .style = "amounts",
              .values = {say(
                  any(table, has_largest) ? "guide.table.caption.largest" : "guide.table.caption",
                  unit(asked))},
              .head = {say("guide.table.shows")}};
  for (const double one : table.contents) block.head.push_back(content(one));
  std::size_t at = 0;
  for (const double reading : table.readings_l) {
    block.rows.push_back({gauge(reading)});
    for (std::size_t c = 0; c < table.contents.size(); ++c) {
      block.rows.back().push_back(amount_in(table, at++));
    }
  }
  return block;
}

Value reading_it(const Asked& asked, const decide::GuideTable& table) {
  return joined({say("guide.table.read", unit(asked)),
                 any(table, has_largest) ? say("guide.table.two") : Value{},
                 any(table, is_again) ? say("guide.table.again") : Value{},
                 any(table, is_empty) ? say("guide.table.none") : Value{}});
}

Value about_it(const Asked& asked, const decide::Guide& guide) {
  const scenario::Limits& limits = asked.scenario.limits;
  const bool waits = guide.works && guide.arrive && !guide.arrive->wait_for.nothing_to_wait_for();
  return joined({say(limits.minimum && limits.maximum ? "guide.tester.both"
                     : limits.minimum                 ? "guide.tester.lower"
                                                      : "guide.tester.upper"),
                 waits ? say("guide.waiting_above") : Value{}});
}

/// From where filling up does.
Value around_the_readings(const decide::HeelResult& heel) {
  if (!heel.highest_indicated_l) return say("guide.from.none");
  const Value high = heel_reading("highest_indicated", *heel.highest_indicated_l);
  if (heel.window) {
    const double low = heel.window->at(0);
    return say(low > 0.0 ? "guide.from.window" : "guide.from.up_to", high,
               heel_reading("window/0", low));
  }
  const auto& lowest = heel.lowest_for_limits_l;
  const Value from = lowest
                         ? say("guide.from.range", heel_reading("lowest_for_limits", *lowest), high)
                         : say("guide.from.less", high);
  if (!heel.lowest_indicated_l) return say("guide.from.but_dry", from);
  return say("guide.from.only", from, heel_reading("lowest_indicated", *heel.lowest_indicated_l));
}

/// With what it is more than the arithmetic says.
Value with_margin(const Asked& asked, const decide::FillResult& fill, const Value& base) {
  if (!fill.margin_l) return base;
  const std::string id = fill.largest_amount_l ? "guide.margin.least" : "guide.margin";
  Value value = margin(id, *fill.margin_l, asked.units);
  value.parts = {value.parts[0].from("fill/margin", *fill.margin_l), base};
  return value;
}

/// What does from the planned reading.
Value around_the_amounts(const Asked& asked, const decide::Guide& guide) {
  const decide::FillResult& fill = guide.fill;
  const Value from = planned_reading(asked);
  if (!guide.chance.dry_met) return say("guide.amount.dry", from);
  if (!fill.safe_amount_l) {
    const auto& instead = fill.instead;
    if (!instead || !instead->tested_content) return say("guide.amount.none", from);
    return say(instead->tested_at_least ? "guide.amount.none.more" : "guide.amount.none.less", from,
               content(*instead->tested_content, 2).from("fill/instead/tested_content"));
  }
  const Value amounts = fill_amounts(fill);
  const bool largest = fill.largest_amount_l.has_value();
  const bool nothing = *fill.safe_amount_l == 0.0;
  const std::string id = nothing ? "guide.amount.nothing" : "guide.amount.takes";
  Value base = say(largest ? id + ".largest" : id, from, amounts);
  if (!nothing) base = with_margin(asked, fill, base);
  if (!fill.again_from_l) return say("stop", base);
  return say("guide.amount.again", base, dispenser(*fill.again_from_l).from("fill/again_from"));
}

}  // namespace

PageSection guide_amounts(const Asked& asked, const decide::Guide& guide) {
  PageSection section{.id = "amounts",
                      .blocks = {{.values = {joined({around_the_readings(guide.heel),
                                                     around_the_amounts(asked, guide)})}}}};
  if (guide.table.readings_l.empty()) return section;
  section.blocks.push_back({.values = {reading_it(asked, guide.table)}});
  section.blocks.push_back(table_of(asked, guide.table));
  section.blocks.push_back({.style = "soft", .values = {about_it(asked, guide)}});
  return section;
}

}  // namespace blendrisk::answer
