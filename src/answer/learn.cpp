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

std::vector<Value> notes(const learn::ChangeoverFit& fit) {
  std::vector<Value> all;
  for (const learn::Note& note : fit.notes) all.push_back(said(note));
  if (fit.drift) {
    all.push_back(say("learn.note.drift", content(3600.0 * fit.drift->value, 2),
                      content(3600.0 * fit.drift->standard_error, 2)));
  }
  if (!fit.off_lines.empty()) {
    all.push_back(lines_left_out("learn.note.off", fit.off_lines));
  }
  if (fit.rate_logged) {
    const bool scatters = fit.rate_scatter >= 0.0005;
    all.push_back(scatters ? say("learn.note.rates", percent(fit.rate_scatter, 2))
                           : say("learn.note.rates_steady"));
  }
  return all;
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

Value lines_left_out(const char* id, const std::vector<std::size_t>& lines) {
  constexpr std::size_t k_most = 10;
  std::string list;
  for (std::size_t i = 0; i < std::min(lines.size(), k_most); ++i) {
    list += (i == 0 ? "" : ", ") + std::to_string(lines[i]);
  }
  if (lines.size() > k_most) list += " ...";
  return say(id, count(lines.size()), text(list));
}

int decimals_for(double error) {
  if (!(error > 0.0)) return 4;
  return std::clamp(static_cast<int>(1.0 - std::floor(std::log10(error))), 0, 15);
}

Members learn_opening(const char* method, const std::string& source, double elapsed_s) {
  Members object;
  object("command", "learn")("title", source)("version", k_version)("method", method);
  return object("elapsed_s", elapsed_s);
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

Json members(const learn::ChangeoverFit& fit, const std::string& source, double elapsed_s) {
  Json volumes = Json::array();
  for (const Fitted& one : fit.volumes) volumes.push_back(fitted_members(one));
  Members object = learn_opening("least squares", source, elapsed_s);
  object("rows", fit.rows)("bins", fit.bins)("rate_logged", fit.rate_logged)("line", volumes);
  object("stirred_sum", fitted_members(fit.stirred_sum), "none.stirred_sum"_w);
  object("idle", fitted_members(fit.idle), "none.idle"_w);
  object("before", fitted_members(fit.before))("after", fitted_members(fit.after));
  object("drift", fitted_members(fit.drift), "none.drift"_w)("rate_scatter", fit.rate_scatter);
  object("off_lines", Json(fit.off_lines));
  object("residual_sd", fit.residual_sd)("expected_sd", fit.expected_sd);
  object("correlation_length", fit.correlation_length)("last_share", fit.last_share);
  return object("notes", shown_all(notes(fit)));
}

}  // namespace blendrisk::answer
