#include "answer/learn.hpp"

#include <algorithm>
#include <cmath>

#include "answer/plain_text.hpp"
#include "answer/reasons.hpp"
#include "answer/words.hpp"
#include "version.hpp"

namespace blendrisk::answer {
namespace {

using learn::Fitted;
using learn::StudentLaw;
using learn::TestSet;

/// How many decimals show two digits of the error.
int decimals_for(double error) {
  if (!(error > 0.0)) return 4;
  return std::clamp(static_cast<int>(1.0 - std::floor(std::log10(error))), 0, 15);
}

/// "student(73.41 %, 4.02 %, 11)", with a scale that is never rounded to nothing.
std::string student_text(const StudentLaw& law) {
  const double scale = 100.0 * law.scale;
  return "student(" + content_text(law.center, std::max(2, decimals_for(scale))) + ", " +
         significant_text(scale, 4) + " %, " + short_text(law.dof, 9) + ")";
}

/// The same of the next delivery, in [0 %, 100 %].
std::string law_text(const TestSet& set) {
  return student_text(next_delivery(set)) + " in [0 %, 100 %]";
}

/// Values one by one while they stay readable; more tests are no longer a line.
std::string tests_law(const TestSet& set) {
  constexpr std::size_t k_most_listed = 50;
  if (set.contents.size() > k_most_listed) return student_text(learn::of_the_mean(set));
  std::string text = "tests(";
  for (std::size_t i = 0; i < set.contents.size(); ++i) {
    text += (i == 0 ? "" : ", ") + short_text(100.0 * set.contents[i], 12) + " %";
  }
  return text + ")";
}

Value summed_up(const TestSet& set) {
  return say("learn.summary", count(set.contents.size()), content(set.mean, 2), content(set.sd, 2),
             content(set.lowest), content(set.highest));
}

std::string normal_text(const Fitted& one, double factor, const std::string& unit) {
  const double error = one.standard_error * factor;
  if (!(error > 1e-6)) return fixed_text(one.value * factor, 4) + " " + unit;
  const int decimals = decimals_for(error);
  return "normal(" + fixed_text(one.value * factor, decimals) + " " + unit + ", " +
         fixed_text(error, decimals) + " " + unit + ")";
}

Value level(const Fitted& one) {
  return say("learn.level", content(one.value, 1), content(one.standard_error, 2));
}

std::vector<Value> notes(const learn::PumpTests& tests) {
  std::vector<Value> all{say("learn.note.each")};
  if (tests.all.contents.size() < learn::k_few_tests) all.push_back(say("learn.note.few"));
  if (tests.groups_alike && *tests.groups_alike < 0.05) {
    all.push_back(say("learn.note.groups", percent(*tests.groups_alike, 2)));
  }
  return all;
}

std::vector<Value> notes(const learn::ChangeoverFit& fit) {
  std::vector<Value> all;
  for (const learn::Note& note : fit.notes) all.push_back(said(note));
  if (fit.rate_logged) all.push_back(say("learn.note.rates"));
  return all;
}

Members learn_opening(const char* method, const std::string& source, double elapsed_s) {
  Members object;
  object("command", "learn")("title", source)("version", k_version)("method", method);
  return object("elapsed_s", elapsed_s);
}

Members set_members(const TestSet& set) {
  const bool law = set.has_law();
  const std::string none = "none.few_tests"_w;
  Members object;
  object("tests", set.contents.size())("mean", set.mean);
  object("lowest", set.lowest)("highest", set.highest);
  object("standard_deviation", law ? std::optional(set.sd) : std::nullopt, none);
  if (!law) return object("content", std::optional<std::string>(), none);
  const StudentLaw next = next_delivery(set);
  object("next_delivery",
         Json(Members()("center", next.center)("scale", next.scale)("dof", next.dof)));
  return object("content", law_text(set))("content_of_the_same_fuel", tests_law(set));
}

Json fitted_members(const Fitted& one) {
  Members object;
  if (!one.key.empty()) object("key", one.key);
  object("value", one.value)("standard_error", one.standard_error);
  object("interval_95", Json::array({json(one.interval_95[0]), json(one.interval_95[1])}));
  object("determined", one.determined());
  if (!one.determined()) object("reason", reason(one));
  return object;
}

std::optional<Json> fitted_members(const std::optional<Fitted>& one) {
  return one ? std::optional(fitted_members(*one)) : std::nullopt;
}

}  // namespace

std::vector<Line> learned(const learn::PumpTests& tests, const std::string& source) {
  const auto [low, high] = learn::middle_95(next_delivery(tests.all));
  Lines lines;
  lines.comment(say("learn.tests", text(cleaned(source)), summed_up(tests.all), content(low, 1),
                    content(high, 1)));
  for (const Value& note : notes(tests)) lines.comment(note);
  lines.empty().setting("[fuel]").setting("content = " + law_text(tests.all)).empty();
  lines.comment(say("learn.same_fuel")).setting("# content = " + tests_law(tests.all));
  if (!tests.groups.empty()) lines.rule().setting("# " + "learn.groups"_w);
  for (const TestSet& set : tests.groups) {
    const std::size_t size = set.contents.size();
    const Value what = set.has_law() ? summed_up(set)
                       : size == 1   ? say("learn.one_test", count(size))
                                     : say("learn.equal", count(size));
    const std::string name = shortened(set.group.empty() ? "learn.no_name"_w : set.group, 40);
    lines.setting("# " + name + ": " + shown(what));
    if (set.has_law()) lines.setting("#   content = " + law_text(set));
  }
  return lines.rule().comment(say("learn.law")).with_cautions();
}

std::vector<Line> learned(const learn::ChangeoverFit& fit, const std::string& source) {
  Lines lines;
  lines.comment(say("learn.change", text(cleaned(source)), count(fit.rows), level(fit.before),
                    level(fit.after)));
  lines.empty().setting("[line]");
  for (const Fitted& one : fit.volumes) {
    const std::string name = one.key.substr(one.key.find('.') + 1);
    if (one.determined()) {
      lines.setting(padded(name, 9) + " = " + normal_text(one, 1.0, "L"));
    } else {
      lines.comment(say("learn.not_told", text(name), text(reason(one)), number(one.value, 3)));
    }
  }
  if (fit.stirred_sum) {
    lines.comment(say("learn.together", text(normal_text(*fit.stirred_sum, 1.0, "L"))));
  }
  if (fit.idle) {
    lines.empty().setting("[engine]").setting("idle = " + normal_text(*fit.idle, 3600.0, "L/h"));
  }
  lines.empty();
  for (const Value& note : notes(fit)) lines.comment(say("item", note));
  lines.comment(say("item", say(fit.expected_sd > 0.0 ? "learn.scatter.expected" : "learn.scatter",
                                content(fit.residual_sd, 2), content(fit.expected_sd, 2))));
  return lines.rule().comment(say("learn.method")).with_cautions();
}

Json members(const learn::PumpTests& tests, const std::string& source, double elapsed_s) {
  Json groups = Json::array();
  for (const TestSet& set : tests.groups) groups.push_back(set_members(set)("group", set.group));
  Members object = learn_opening("pump tests", source, elapsed_s);
  object("all", Json(set_members(tests.all)))("groups", groups);
  object("groups_alike", tests.groups_alike, "none.groups"_w);
  return object("notes", shown_all(notes(tests)));
}

Json members(const learn::ChangeoverFit& fit, const std::string& source, double elapsed_s) {
  Json volumes = Json::array();
  for (const Fitted& one : fit.volumes) volumes.push_back(fitted_members(one));
  Members object = learn_opening("least squares", source, elapsed_s);
  object("rows", fit.rows)("bins", fit.bins)("rate_logged", fit.rate_logged)("line", volumes);
  object("stirred_sum", fitted_members(fit.stirred_sum), "none.stirred_sum"_w);
  object("idle", fitted_members(fit.idle), "none.idle"_w);
  object("before", fitted_members(fit.before))("after", fitted_members(fit.after));
  object("residual_sd", fit.residual_sd)("expected_sd", fit.expected_sd);
  object("correlation_length", fit.correlation_length)("last_share", fit.last_share);
  return object("notes", shown_all(notes(fit)));
}

}  // namespace blendrisk::answer
