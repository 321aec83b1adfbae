#include <cmath>

#include "answer/shared.hpp"
#include "answer/words.hpp"
#include "line/sensor_posterior.hpp"
#include "text/quoting.hpp"

namespace blendrisk::answer {
namespace {

using line::Posterior;

/// Readings that fit worse than this are told of.
constexpr double k_poor_fit = 1e-3;

bool below(const Posterior& result) {
  return result.target.below();
}

Value outside(const Posterior& result) {
  return beyond_limit(result.target);
}

Value left(const Posterior& result) {
  const Value burn = volume(*result.enough_left_l);
  return result.enough_left_s ? say("in_brackets", burn, time(*result.enough_left_s)) : burn;
}

enum class Verdict { other, within, not_yet, not_clearly, not_within };

/// The chance that decides: that of the tank ending outside where no waiting helps.
Verdict verdict_of(const Posterior& result) {
  if (result.other_too_often) return Verdict::other;
  if (result.met) return Verdict::within;
  if (!result.enough_left_l) return Verdict::not_within;
  return *result.enough_left_l > 0.0 ? Verdict::not_yet : Verdict::not_clearly;
}

Value verdict(const Asked& asked, const Posterior& result) {
  const auto now = [&](const char* id) {
    return say(id, outside(result), chance(result.rail_outside).from("update/rail_outside/chance"),
               accepted(asked));
  };
  switch (verdict_of(result)) {
    case Verdict::other:
      return below(result)
                 ? say("update.other.above", chance(*result.above_maximum), accepted(asked))
                 : say("update.other.below", chance(*result.below_minimum), accepted(asked));
    case Verdict::within:
      return now("update.within");
    case Verdict::not_yet:
      return joined(
          {now("update.not_yet"), say("update.burn.well", left(result), accepted(asked))});
    case Verdict::not_clearly:
      return joined({now("update.not_clearly"), say("update.another")});
    case Verdict::not_within:
      break;
  }
  return now("update.not_within");
}

Value contents(const std::array<double, 5>& quantiles) {
  return middle_and_range([](double value) { return content(value, 1); }, quantiles);
}

Section contents_section(const Posterior& result) {
  Section section{.heading = say(result.readings == 1 ? "update.after.one" : "update.after",
                                 count(result.readings), moment(result.now)),
                  .columns = 31};
  section.rows = {{say("update.row.now"), contents(result.rail_now)},
                  {say("update.row.tank"), contents(result.landed)},
                  {say("update.row.bias"),
                   say("update.bias", content(result.bias_mean, 1), content(result.bias_sd, 1))}};
  Value burn = say("update.hardly_any");
  if (result.burn_left_l) {
    burn = middle_and_range(volume, *result.burn_left_l);
    if (result.time_left_s) {
      const auto& times = *result.time_left_s;
      burn = say("both", burn,
                 say("in_brackets", time(times[2]), say("range", time(times[0]), time(times[4]))));
    }
  }
  section.rows.push_back({say("update.row.left"), burn});
  return section;
}

Section chances_section(const Asked& asked, const Posterior& result) {
  Section table = chances();
  table.rows =
      limit_rows("update.row", asked.scenario.limits, result.below_minimum, result.above_maximum);
  table.rows.insert(table.rows.begin(),
                    {say("update.row.rail", outside(result)), chance(result.rail_outside)});
  return table;
}

}  // namespace

std::vector<Value> update_notes(const Asked& asked, const Posterior& result) {
  std::vector<Value> all;
  if (!line::has_volume(asked.scenario.line)) all.push_back(say("note.no_line"));
  if (is_nothing(asked.scenario.sensor.bias)) all.push_back(say("note.no_bias"));
  if (result.fit < k_poor_fit) {
    all.push_back(say("note.poor_fit", number(std::floor(1.0 / result.fit), 2)));
  }
  if (result.display_assumed) all.push_back(say("note.display"));
  if (result.readings > line::k_most_readings) {
    all.push_back(say("note.grouped", count(line::k_most_readings)));
  }
  return all;
}

Description described(const Asked& asked, const Updated& updated) {
  const Posterior& result = updated.posterior;
  Description answer = opened(asked);
  answer.verdict = {verdict(asked, result)};
  answer.sections = {contents_section(result), chances_section(asked, result)};
  std::vector<Value> all = update_notes(asked, result);
  if (!updated.note.empty()) all.insert(all.begin(), text(updated.note));
  close(answer, asked, About::line,
        {{say("row.method"), say("update.method")},
         {say("update.row.cases"),
          say("update.cases", count(result.cases), number(result.effective_cases, 2))},
         evaluations_row(result.effort.evaluations)},
        std::move(all));
  return answer;
}

Value one_line(const Posterior& result, const line::Reading& reading) {
  Value now;
  switch (verdict_of(result)) {
    case Verdict::within:
      now = say("line.within", say("caution.short"));
      break;
    case Verdict::other:
      now = say("line.other");
      break;
    case Verdict::not_within:
      now = say("line.not_within");
      break;
    case Verdict::not_clearly:
    case Verdict::not_yet:
      now = say("line.not_yet");
  }
  const bool burn = !result.met && result.enough_left_l && *result.enough_left_l > 0.0;
  const auto& tank = below(result) ? result.below_minimum : result.above_maximum;
  Value line = say("line", moment(result.now), content(reading.value), now,
                   contents(result.rail_now), outside(result), chance(result.rail_outside));
  const auto add = [&](const Value& more) { line = say("list.clause", line, more); };
  if (burn) add(say("line.burn", left(result)));
  if (tank) add(say("line.tank", outside(result), chance(*tank)));
  if (result.fit < k_poor_fit) add(say("line.poor_fit"));
  return line;
}

namespace {

std::string unread_note(const std::vector<std::string>& columns, bool by_time) {
  if (columns.empty()) return {};
  constexpr std::size_t k_most = 5;
  std::string names;
  bool rates = false;
  for (std::size_t i = 0; i < columns.size(); ++i) {
    rates |= columns[i].find("rate") != std::string::npos || columns[i].ends_with("_per_h");
    if (i < k_most) names += (i == 0 ? "" : ", ") + text::in_quotes(columns[i]);
  }
  const Value all = columns.size() > k_most ? say("list.more", text(names)) : text(names);
  return shown(
      say(std::string(columns.size() == 1 ? "unread.one" : "unread.many") + (!by_time ? ""
                                                                             : rates  ? ".rates"
                                                                                      : ".time"),
          all));
}

}  // namespace

std::string log_note(const scenario::AboutLog& about, bool by_time) {
  std::string note = unread_note(about.unread, by_time);
  if (about.clock_zero.empty()) return note;
  if (!note.empty()) note += " ";
  return note + shown(say("log.clock_zero", text(about.clock_zero)));
}

Json members(const Asked& asked, const Updated& updated) {
  const Posterior& result = updated.posterior;
  const scenario::Limits& limits = asked.scenario.limits;
  const bool rates = result.time_left_s.has_value() || result.enough_left_s.has_value();
  const std::string hardly = "none.hardly_arrives"_w;
  const std::string outside_in_the_end = "none.tank_outside"_w;
  Json all = shown_all(update_notes(asked, result));
  if (!updated.note.empty()) all.push_back(updated.note);
  Json rail = with(result.rail_outside, "limit", result.target.value);
  rail["side"] = below(result) ? "below" : "above";
  Members object = opening("update", asked, "tempered");
  object("evaluations", result.effort.evaluations)("elapsed_s", asked.elapsed_s);
  object("readings", result.readings)("skipped", updated.skipped);
  object("now", Json(Members()(result.now.by == line::Moment::By::time ? "time" : "burn",
                               result.now.value)));
  object("landed", *quantiles(result.landed));
  object("below_minimum", with(result.below_minimum, "limit", limits.minimum), "none.minimum"_w);
  object("above_maximum", with(result.above_maximum, "limit", limits.maximum), "none.maximum"_w);
  object("rail_now", *quantiles(result.rail_now))("rail_outside", rail);
  object("burn_left", quantiles(result.burn_left_l), hardly);
  object("time_left", quantiles(result.time_left_s), rates ? hardly : "none.rate_or_arrival"_w);
  object("enough_left", Json(Members()("burn", result.enough_left_l, outside_in_the_end)(
                            "time", result.enough_left_s,
                            result.enough_left_l ? "none.rate"_w : outside_in_the_end)));
  object("bias", Json(Members()("mean", result.bias_mean)("standard_deviation", result.bias_sd)));
  object("effective_cases", result.effective_cases)("fit", result.fit);
  object("accepted_risk", limits.accepted_risk)("met", result.met)("notes", all);
  if (result.carried) object("lines", carried_members(*result.carried));
  return object;
}

Json without_odds(const Asked& asked, const std::string& reason, std::size_t skipped) {
  Members object = opening("update", asked, "tempered");
  object("skipped", skipped);
  for (const char* key : {"landed", "below_minimum", "above_maximum", "rail_now", "rail_outside",
                          "burn_left", "effective_cases", "bias", "met"}) {
    object(key, nullptr);
  }
  return object("reason", reason);
}

}  // namespace blendrisk::answer
