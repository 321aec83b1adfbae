#include "answer/verify.hpp"

#include <algorithm>
#include <cmath>

#include "answer/shared.hpp"
#include "answer/words.hpp"
#include "text/pieces.hpp"

namespace blendrisk::answer {
namespace {

using decide::Judgement;
using estimate::Calibration;

/// A difference of contents, in points of a percent.
Value points(double difference) {
  return say("verify.points", fixed(100.0 * difference, 1));
}

Value points_range(double low, double high) {
  return say("range", fixed(100.0 * low, 1), points(high));
}

/// What so many rows would have shown.
Value reach(const Judgement& verdict) {
  const estimate::Reach& reach = verdict.calibration.reach;
  const Value rows = count(verdict.calibration.rows);
  const Value shift = points(reach.shift * verdict.typical_sd);
  if (!reach.narrow) return say("verify.reach.one", shift);
  return say("verify.reach", rows, fixed(*reach.narrow, 2), fixed(*reach.wide, 2), shift);
}

Value spread_verdict(const Calibration& found) {
  return say(found.too_sure ? "verify.too_sure" : "verify.not_sure_enough", fixed(found.widen, 2),
             fixed(found.widen_interval[0], 2), fixed(found.widen_interval[1], 2));
}

Value shift_verdict(const Judgement& verdict) {
  const bool above = verdict.shift > 0.0;
  const auto& [low, high] = verdict.shift_interval;
  return say(above ? "verify.above" : "verify.below", points(std::abs(verdict.shift)),
             above ? points_range(low, high) : points_range(-high, -low));
}

std::vector<Value> verdict_of(const Judgement& verdict) {
  const Calibration& found = verdict.calibration;
  const Value rows = count(found.rows);
  std::vector<Value> all;
  if (found.cannot_tell()) {
    all.push_back(joined({say("verify.cannot_tell", rows), reach(verdict)}));
  } else if (found.honest()) {
    all.push_back(joined({say("verify.honest", rows), reach(verdict)}));
  }
  if (found.too_sure || found.not_sure_enough) all.push_back(spread_verdict(found));
  if (found.off) all.push_back(shift_verdict(verdict));
  return all;
}

Section how_it_came(const Judgement& verdict) {
  Section section{.heading = say("verify.heading.came"), .columns = 34};
  const auto add = [&](Value label, Value value) { section.rows.push_back({label, value}); };
  const Value all = count(verdict.calibration.rows);
  for (const decide::Coverage& one : verdict.coverage) {
    const auto& [low, high] = one.share.interval;
    add(say("verify.row.middle", percent(one.level, 2)),
        say("verify.held", count(one.held), all, content(one.share.chance, 0), content(low, 0),
            content(high, 0)));
  }
  add(say("verify.row.shares"),
      say("verify.uniform", fixed(verdict.cramer_von_mises, 3), percent(verdict.p, 2)));
  add(say("verify.row.shift"),
      say("verify.interval", points(verdict.shift),
          points_range(verdict.shift_interval[0], verdict.shift_interval[1])));
  const Calibration& found = verdict.calibration;
  if (found.rows > 1) {
    add(say("verify.row.widen"),
        say("verify.interval", fixed(found.widen, 2),
            say("range", fixed(found.widen_interval[0], 2), fixed(found.widen_interval[1], 2))));
  }
  return section;
}

Section misses(const Judgement& verdict) {
  const estimate::BrierParts& brier = verdict.brier;
  Section section{.heading = say("verify.heading.misses"), .columns = 34};
  section.rows = {{say("verify.row.expected"),
                   say("verify.expected", fixed(verdict.expected.mean, 1),
                       count(verdict.expected.range[0]), count(verdict.expected.range[1]))},
                  {say("verify.row.seen"), count(verdict.missed)},
                  {say("verify.row.brier"), fixed(brier.score, 4)},
                  {say("verify.row.miscalibration"), fixed(brier.miscalibration, 4)},
                  {say("verify.row.discrimination"), fixed(brier.discrimination, 4)},
                  {say("verify.row.uncertainty"), fixed(brier.uncertainty, 4)}};
  return section;
}

Section sharpness(const Judgement& verdict) {
  Section section{.heading = say("verify.heading.worth"), .columns = 34};
  section.rows = {{say("verify.row.crps"), points(verdict.crps)},
                  {say("verify.row.plain"), points(verdict.plain_error)}};
  if (verdict.skill) {
    section.rows.push_back({say("verify.row.skill"), content(*verdict.skill, 0)});
  }
  return section;
}

Section power_table(const Judgement& verdict) {
  Section section{.heading = say("verify.heading.power"), .columns = 34};
  for (std::size_t i = 0; i < estimate::k_told_spreads.size(); ++i) {
    section.rows.push_back({say("verify.row.spread", number(estimate::k_told_spreads[i], 2)),
                            content(verdict.calibration.reach.power[i], 0)});
  }
  return section;
}

Section by_group(const VerifyView& view) {
  Section section{.heading = say("verify.heading.groups", text(shortened(view.group_column, 30))),
                  .grid = {{26, 8, 20, 14}, {}, {}},
                  .indent = 2};
  section.grid.head = {say("verify.group"), say("verify.group.rows"), say("verify.group.verdict"),
                       say("verify.group.shift"), say("verify.group.widen")};
  for (const GroupJudgement& group : view.groups) {
    const std::string name = group.name.empty() ? "learn.no_name"_w : group.name;
    std::vector<Value> line{text(shortened(name, 24)), count(group.rows)};
    if (group.verdict) {
      const Calibration& found = group.verdict->calibration;
      line.push_back(text(verdict_name(found)));
      line.push_back(points(group.verdict->shift));
      if (found.rows > 1) line.push_back(fixed(found.widen, 2));
    }
    section.grid.lines.push_back(std::move(line));
  }
  return section;
}

/// "lines 4, 17 and 30", of many the first.
std::string lines_of_excluded(const VerifyView& view) {
  constexpr std::size_t k_most = 10;
  std::string list;
  std::size_t told = 0;
  for (std::size_t i = 0; i < view.rows.size(); ++i) {
    if (!view.result.rows[i].excluded || told++ >= k_most) continue;
    list += (list.empty() ? "" : ", ") + std::to_string(view.rows[i].line);
  }
  return told > k_most ? list + " ..." : list;
}

std::vector<Value> notes(const VerifyView& view) {
  std::vector<Value> all;
  if (view.result.excluded > 0) {
    all.push_back(
        say(view.result.excluded == 1 ? "verify.note.excluded.one" : "verify.note.excluded",
            count(view.result.excluded), text(lines_of_excluded(view))));
  }
  if (view.result.all && view.result.all->calibration.honest() && view.result.all->p < 0.01) {
    all.push_back(say("verify.note.shape", percent(view.result.all->p, 2)));
  }
  if (view.learned) all.push_back(say("verify.note.learned"));
  if (view.exact_tests) all.push_back(say("verify.note.exact"));
  if (view.shared_bias) all.push_back(say("verify.note.shared_bias"));
  if (view.rows.size() > 1) all.push_back(say("verify.note.apart"));
  const std::string unused = text::listed(view.unused);
  if (!unused.empty()) all.push_back(say("verify.note.unused", text(shortened(unused, 200))));
  return all;
}

Json pair(const std::array<double, 2>& ends) {
  return Json::array({json(ends[0]), json(ends[1])});
}

Json members_of(const Judgement& verdict) {
  const Calibration& found = verdict.calibration;
  const std::string one_row = "none.one_row"_w;
  const bool more = found.rows > 1;
  Json coverage = Json::array();
  for (const decide::Coverage& one : verdict.coverage) {
    coverage.push_back(Members()("level", one.level)("held", one.held)("share", one.share.chance)(
        "interval_95", pair(one.share.interval)));
  }
  Json power = Json::array();
  for (std::size_t i = 0; i < estimate::k_told_spreads.size(); ++i) {
    power.push_back(
        Members()("spread", estimate::k_told_spreads[i])("power", found.reach.power[i]));
  }
  Members object;
  object("verdict", verdict_name(found))("rows", found.rows);
  object("shift", verdict.shift)("shift_interval_95", pair(verdict.shift_interval));
  object("widen", more ? std::optional(found.widen) : std::nullopt, one_row);
  object("widen_interval_95", more ? std::optional<Json>(pair(found.widen_interval)) : std::nullopt,
         one_row);
  object("shares", Json(Members()("cramer_von_mises", verdict.cramer_von_mises)("p", verdict.p)));
  object("coverage", coverage);
  const auto& [low, high] = verdict.expected.range;
  object("misses", Json(Members()("expected", verdict.expected.mean)(
                       "range_95", Json::array({low, high}))("seen", verdict.missed)));
  const estimate::BrierParts& brier = verdict.brier;
  object("brier", Json(Members()("score", brier.score)("miscalibration", brier.miscalibration)(
                      "discrimination", brier.discrimination)("uncertainty", brier.uncertainty)));
  object("crps", verdict.crps)("plain_error", verdict.plain_error);
  object("skill", verdict.skill, "none.plain_right"_w);
  object("power", power);
  Members reach;
  reach("narrow", found.reach.narrow, one_row)("wide", found.reach.wide, one_row);
  reach("shift", found.reach.shift * verdict.typical_sd);
  return object("found_in_80_percent", Json(reach));
}

}  // namespace

std::vector<std::size_t> forecast_rows(const VerifyView& view) {
  std::vector<std::size_t> rows;
  for (std::size_t i = 0; i < view.rows.size(); ++i) {
    if (!view.result.rows[i].excluded) rows.push_back(i);
  }
  return rows;
}

std::string verdict_name(const Calibration& found) {
  if (found.cannot_tell()) return "verify.name.cannot_tell"_w;
  if (found.honest()) return "verify.name.honest"_w;
  std::string name = found.too_sure          ? "verify.name.too_sure"_w
                     : found.not_sure_enough ? "verify.name.not_sure_enough"_w
                                             : std::string();
  if (!found.off) return name;
  return name.empty() ? "verify.name.off"_w : filled(words("and"), {name, "verify.name.off"_w});
}

Description described(const Asked& asked, const VerifyView& view) {
  Description answer = opened(asked);
  answer.title = view.title;
  answer.verdict = {view.result.all ? Value() : say("verify.none")};
  if (view.result.all) answer.verdict = verdict_of(*view.result.all);
  answer.verdict.push_back(say("verify.from", text(cleaned(view.file)), count(view.chosen),
                               count(view.rows.size()),
                               count(view.rows.size() - view.result.excluded)));
  if (view.result.all) {
    const Judgement& verdict = *view.result.all;
    answer.sections = {how_it_came(verdict), misses(verdict), sharpness(verdict),
                       power_table(verdict)};
  }
  if (!view.groups.empty()) answer.sections.push_back(by_group(view));
  close(answer, asked, About::nothing,
        {{say("row.method"), say(view.learned ? "verify.method.learned" : "verify.method")}},
        notes(view));
  return answer;
}

Json members(const Asked& asked, const VerifyView& view) {
  Members object = opening("verify", asked, "method.points"_w);
  object("title", view.title)("elapsed_s", asked.elapsed_s)("log", view.file)("rows_chosen",
                                                                              view.chosen);
  object("rows_tested", view.rows.size())("learned", view.learned);
  Json excluded = Json::array();
  for (std::size_t i = 0; i < view.rows.size(); ++i) {
    const auto& why = view.result.rows[i].excluded;
    if (!why) continue;
    excluded.push_back(Members()("line", view.rows[i].line)("key", why->key));
  }
  object("rows_excluded", excluded);
  object("all", view.result.all ? std::optional<Json>(members_of(*view.result.all)) : std::nullopt,
         "none.forecast"_w);
  Json groups = Json::array();
  for (const GroupJudgement& group : view.groups) {
    Members one;
    one("group", group.name);
    one("verdict", group.verdict ? std::optional<Json>(members_of(*group.verdict)) : std::nullopt,
        "none.forecast"_w);
    groups.push_back(one);
  }
  return object("groups", groups)("notes", shown_all(notes(view)));
}

}  // namespace blendrisk::answer
