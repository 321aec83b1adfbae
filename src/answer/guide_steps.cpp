#include "answer/guide.hpp"
#include "answer/reasons.hpp"
#include "answer/shared.hpp"
#include "answer/waiting.hpp"
#include "scenario/way.hpp"

namespace blendrisk::answer {
namespace {

/// Where so many changes show the reading, the others need no words.
bool nearly_always(const decide::WaitFor& wait) {
  return wait.triggers >= 0.99;
}

bool pump_known(const Asked& asked) {
  return distributions::is_exact(asked.scenario.fills.back().content);
}

/// What is wrong with the fill as it is planned.
Value reasons(const Asked& asked, const decide::Guide& guide) {
  const estimate::ChanceResult& result = guide.chance;
  std::vector<Value> all{say("guide.no_plan")};
  if (!result.met) {
    all.push_back(
        say("guide.no_plan.chance", chance(result.outside).from("chance/outside/chance")));
  }
  if (!result.dry_met) {
    all.push_back(say(of_fills(asked, "guide.no_plan.dry"),
                      chance(result.run_dry).from("chance/run_dry/chance")));
    all.push_back(say("dry.what"));
  }
  for (const Value& leg : leg_reasons(guide)) all.push_back(leg);
  return joined(std::move(all));
}

/// From where filling up, or filling as planned, does.
Value from_window(const Asked& asked, const decide::HeelResult& heel) {
  const auto& [low, high] = *heel.window;
  return say(of_fills(asked, low == high ? "guide.way.window.exactly"
                             : low > 0.0 ? "guide.way.window.between"
                                         : "guide.way.window.up_to"),
             heel_reading("window/1", high), heel_reading("window/0", low));
}

Value other_amount(const Asked& asked, const decide::FillResult& fill) {
  const std::string id = *fill.safe_amount_l > 0.0 ? "guide.way.amount"
                         : fill.largest_amount_l   ? "guide.way.nothing.or"
                                                   : "guide.way.nothing";
  return say(of_fills(asked, id), planned_reading(asked), fill_amounts(fill));
}

bool any_amount(const decide::GuideTable& table) {
  for (const decide::Cell& cell : table.cells) {
    if (cell.litres) return true;
  }
  return false;
}

/// What the dispenser showed at the end, what that tells, and the chance that is left.
Value done_step(const Asked& asked, const decide::Guide& guide) {
  return joined(
      {say("guide.done", dispenser(*asked.scenario.fills.back().shown_l)),
       told(*guide.chance.learned),
       say("guide.fill.chance", chance(guide.chance.outside).from("chance/outside/chance"))});
}

/// Everything that was tried and does.
std::vector<Value> ways(const Asked& asked, const decide::Guide& guide) {
  const auto second = [](double reading_l, const std::string& source) {
    return say("heel.indicated", gauge(reading_l).from(source));
  };
  const bool from_here = guide.chance.dry_met;
  const auto& instead = guide.fill.instead;
  std::vector<Value> found;
  if (from_here && guide.fill.safe_amount_l) found.push_back(other_amount(asked, guide.fill));
  if (guide.heel.window) found.push_back(from_window(asked, guide.heel));
  if (from_here && instead && instead->second_heel_l) {
    found.push_back(two_fills(asked.scenario, {},
                              second(*instead->second_heel_l, "fill/instead/second_indicated"),
                              instead->between));
  } else if (guide.heel.second_highest_l) {
    found.push_back(two_fills(asked.scenario,
                              second(*guide.heel.lowest_indicated_l, "heel/lowest_indicated"),
                              second(*guide.heel.second_highest_l, "heel/second_indicated")));
  }
  if (from_here && instead && instead->tested_content) {
    found.push_back(say(
        of_fills(asked, instead->tested_at_least ? "guide.way.test.more" : "guide.way.test.less"),
        planned_reading(asked),
        content(*instead->tested_content, 2).from("fill/instead/tested_content")));
  } else if (!pump_known(asked) && any_amount(guide.table)) {
    found.push_back(say("guide.way.table"));
  }
  return found;
}

/// Why the plan is none, what was tried and would do in its place, or that nothing would.
std::vector<Block> without_plan(const Asked& asked, const decide::Guide& guide) {
  if (guide.done)
    return {{.values = {joined({done_step(asked, guide), say("guide.done.misses")})}}};
  const Value why = reasons(asked, guide);
  // What would do of other fills is searched by where the last one lands.
  if (!leg_reasons(guide).empty()) {
    return {{.values = {joined({why, say("guide.no_way.leg")})}}};
  }
  // What is wrong is the waiting, which none of the ways is about.
  if (guide.chance.met && guide.chance.dry_met) {
    return {{.values = {joined({why, say("guide.no_plan.waiting")})}}};
  }
  std::vector<Value> found = ways(asked, guide);
  if (found.empty()) {
    const char* id = pump_known(asked) ? "guide.no_way.tested" : "guide.no_way";
    return {{.values = {joined({why, say(id)})}}};
  }
  return {{.values = {why}},
          {.values = {say("guide.instead")}},
          {.kind = Block::Kind::items, .values = std::move(found)}};
}

Value not_dry(const Asked& asked, const decide::HeelResult& heel) {
  const auto& lowest = heel.lowest_indicated_l;
  if (asked.scenario.tank.pickup_floor_l == 0.0) return say("guide.dry.unknown");
  if (!lowest || *lowest == 0.0) return {};
  // The lowest is rounded up, maybe past the plan.
  const bool below = *lowest <= scenario::reading_at_pump(asked.scenario);
  return joined(
      {say(below ? "guide.dry.below" : "guide.dry.less", heel_reading("lowest_indicated", *lowest)),
       say("dry.what")});
}

/// How far to drive before the fill.
Value drive(const decide::HeelResult& heel) {
  if (!heel.drive || !heel.drive->median_km || !heel.drive->farthest_km) return {};
  const auto& [median_km, farthest_km] = *heel.drive;
  return say("guide.drive", distance(*median_km).from("heel/drive_km"),
             distance(*farthest_km).from("heel/farthest_km"));
}

Value run_down(const Asked& asked, const decide::HeelResult& heel) {
  const double planned = scenario::reading_at_pump(asked.scenario);
  // The window is that of filling up; what is put in by the display is for this reading.
  // What else lands well from several fills may leave neither calibration fitting on the way.
  const bool one = asked.scenario.fills.size() == 1;
  const bool fills_up = !asked.scenario.fills.front().amount_l && one;
  Value text = say("guide.down.exactly", planned_reading(asked));
  if (fills_up && heel.window && heel.window->at(0) <= planned && planned <= heel.window->at(1)) {
    const auto& [low, high] = *heel.window;
    text = say(low > 0.0 ? "guide.down.between" : "guide.down.up_to", planned_reading(asked),
               heel_reading("window/0", low), heel_reading("window/1", high));
  }
  return joined({text, not_dry(asked, heel), one ? drive(heel) : Value{}});
}

/// What else does from the planned reading, where the plan's amount is among it.
Value around_amount(const decide::FillResult& fill, double planned_l) {
  if (!fill.safe_amount_l || planned_l < *fill.safe_amount_l) return {};
  if (!fill.largest_amount_l) {
    return *fill.safe_amount_l > 0.0 ? say("guide.fill.least", fill_amounts(fill)) : Value{};
  }
  if (planned_l > *fill.largest_amount_l) return {};
  return say("guide.fill.range", fill_amounts(fill));
}

Value fill_step(const Asked& asked, const decide::Guide& guide) {
  const scenario::Fill& fill = asked.scenario.fills.back();
  const Value risk =
      say("guide.fill.chance", chance(guide.chance.outside).from("chance/outside/chance"));
  const Value which = fill_of(asked, asked.scenario.fills.size() - 1);
  if (!fill.amount_l) return joined({which, say("guide.fill.up"), risk});
  return joined({which, say("guide.fill.amount", dispenser(*fill.amount_l)),
                 around_amount(guide.fill, *fill.amount_l), say("guide.fill.clicks"), risk});
}

/// The share of changes first: the time is only over those.
Value when_it_shows(const decide::WaitFor& wait) {
  const Value share =
      say("guide.shows.share",
          nearly_always(wait) ? say("guide.shows.nearly_all") : number(100.0 * wait.triggers, 2))
          .from("arrive/wait_for/triggers", wait.triggers);
  if (!wait.time_s) return say("guide.shows", share);
  const auto& [low, middle, high] = *wait.time_s;
  return say("guide.shows.time", share, time(middle).from("arrive/wait_for/time/quantiles/0.5"),
             time(low), time(high));
}

Value by_burning(const decide::EnoughBurn& enough) {
  if (!enough.burn_l) return say("guide.burn.none", text(reason(*enough.why_none)));
  return say(enough.time_s ? "guide.burn.time" : "guide.burn",
             volume(*enough.burn_l).from("arrive/enough/burn"),
             enough.time_s ? time(*enough.time_s).from("arrive/enough/time") : Value{});
}

/// Of 100 changes, never all of them.
Value of_hundred(double share, const std::string& source) {
  const bool all = share >= 0.99;
  return (all ? say("guide.shows.nearly_all") : say("guide.hundredths", number(100.0 * share, 2)))
      .from(source, share);
}

bool has_table(const decide::Guide& guide) {
  return guide.arrive && !guide.arrive->waiting.rows.empty();
}

/// By the rows of the table below the steps, then by one reading.
Value wait_by_table(const decide::ArriveResult& arrive, const Value& exact, const Value& burning) {
  const decide::WaitingTable& table = arrive.waiting;
  const decide::WaitFor& wait = arrive.wait_for;
  const bool more = arrive.arrival.target.below();
  const Value share =
      say("guide.shows.share", of_hundred(table.triggers, "arrive/waiting/triggers"));
  Value single;
  if (wait.reading) {
    single = joined({say(more ? "guide.single.more" : "guide.single.less",
                         content(*wait.reading).from("arrive/wait_for/reading")),
                     when_it_shows(wait)});
  }
  return joined({say("guide.wait.table"), say("guide.table.followed", share), exact, single,
                 say("guide.without_sensor"), burning});
}

Value wait_step(const Asked& asked, const decide::Guide& guide) {
  if (has_changed(guide)) return say("guide.wait.changed");
  return guide.arrive ? waiting_step(asked, *guide.arrive) : say("guide.wait.no_line");
}

Value change_step(const decide::Guide& guide) {
  const Value only = say("guide.switch");
  if (!guide.arrive || guide.arrive->wait_for.nothing_to_wait_for()) return only;
  const decide::WaitFor& wait = guide.arrive->wait_for;
  const line::Arrival& arrival = guide.arrive->arrival;
  return joined({only, say("guide.switch.against", beyond_limit(arrival.target)),
                 wait.reading && nearly_always(wait) ? say("guide.switch.same") : Value{}});
}

}  // namespace

Value waiting_step(const Asked& asked, const decide::ArriveResult& arrive) {
  const decide::WaitFor& wait = arrive.wait_for;
  if (wait.nothing_to_wait_for()) return say("guide.wait.nothing");
  const Value burning = by_burning(arrive.enough);
  const Value without = say("guide.without_sensor");
  const scenario::Sensor& sensor = asked.scenario.sensor;
  const bool exact = sensor.noise_sd == 0.0 && distributions::is_exact(sensor.bias);
  const Value warning = exact ? say("guide.wait.exact") : Value{};
  if (!arrive.waiting.rows.empty()) return wait_by_table(arrive, warning, burning);
  if (!wait.reading) return joined({say("guide.wait.no_reading"), without, burning});
  return joined({say(arrive.arrival.target.below() ? "guide.wait.more" : "guide.wait.less",
                     content(*wait.reading).from("arrive/wait_for/reading")),
                 when_it_shows(wait), warning,
                 nearly_always(wait) ? without : say("guide.not_shown"), burning});
}

Block waiting_table(const line::Arrival& arrival, const decide::WaitingTable& table) {
  Block block{.kind = Block::Kind::table,
              .style = "waiting",
              .values = {say("guide.waiting.caption", beyond_limit(arrival.target))},
              .head = {say("guide.waiting.burned")}};
  if (arrival.has_time) block.head.push_back(say("guide.waiting.time"));
  block.head.push_back(say(arrival.target.below() ? "guide.waiting.more" : "guide.waiting.less"));
  block.head.push_back(say("guide.waiting.met"));
  for (std::size_t k = 0; k < table.rows.size(); ++k) {
    const decide::WaitingRow& row = table.rows[k];
    const std::string source = "arrive/waiting/rows/" + std::to_string(k) + "/";
    std::vector<Value> cells{volume(row.burn_l).from(source + "burn")};
    if (arrival.has_time) {
      cells.push_back(row.time_s ? time(*row.time_s).from(source + "time") : say("unknown"));
    }
    cells.push_back(content(row.reading).from(source + "reading"));
    cells.push_back(of_hundred(row.shown_by_then, source + "shown_by_then"));
    block.rows.push_back(std::move(cells));
  }
  return block;
}

PageSection guide_steps(const Asked& asked, const decide::Guide& guide) {
  if (!guide.works) {
    return {.id = "steps", .blocks = without_plan(asked, guide), .warning = true};
  }
  const bool less = guide.arrive ? guide.arrive->arrival.target.below()
                                 : asked.scenario.limits.minimum.has_value();
  std::vector<Value> steps;
  if (guide.done) {
    steps = {done_step(asked, guide)};
  } else {
    steps = {run_down(asked, guide.heel)};
    for (const Value& step : leg_steps(asked, guide)) steps.push_back(step);
    steps.push_back(fill_step(asked, guide));
  }
  const bool changed = has_changed(guide);
  const Value gap = guide.arrive && !changed ? gap_step(asked, *guide.arrive) : Value{};
  steps.push_back(joined({wait_step(asked, guide), gap}));
  if (!changed) steps.push_back(change_step(guide));
  PageSection section{
      .id = "steps",
      .blocks = {{.style = "warn",
                  .values = {say((less ? "guide.warning.little" : "guide.warning.much") +
                                 std::string(changed ? ".changed" : ""))}},
                 {.kind = Block::Kind::steps, .style = "steps", .values = std::move(steps)}}};
  if (has_table(guide) && !changed) {
    section.blocks.push_back(waiting_table(guide.arrive->arrival, guide.arrive->waiting));
  }
  return section;
}

}  // namespace blendrisk::answer
