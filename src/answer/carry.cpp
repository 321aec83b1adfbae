#include "answer/carry.hpp"

#include <cmath>

#include "answer/answers.hpp"
#include "answer/shared.hpp"
#include "line/sensor_posterior.hpp"
#include "numeric/vector_math.hpp"

namespace blendrisk::answer {
namespace {

/// To a thousandth of a percent.
std::string percent_text(double content) {
  return short_text(std::round(1e5 * content) / 1e3, 7) + " %";
}

std::string law_text(const estimate::CarriedLaw& law) {
  const auto& points = law.points;
  if (points.size() == 1) return percent_text(points[0][1]);
  const auto slope_at = [&](std::size_t i) {
    return (points[i + 1][1] - points[i][1]) /
           (numeric::normal_quantile(points[i + 1][0]) - numeric::normal_quantile(points[i][0]));
  };
  const double z = numeric::normal_quantile(points[0][0]);
  std::string text;
  if (points.size() == 2) {
    text = "normal(" + percent_text(points[0][1] - slope_at(0) * z) + ", " +
           short_text(100.0 * slope_at(0), 4) + " %)";
  } else {
    for (const auto& [share, value] : points) {
      text += (text.empty() ? "quantiles(" : ", ") + short_text(100.0 * share, 4) +
              " %: " + percent_text(value);
    }
    text += ")";
  }
  if (!law.key.ends_with(".content")) return text;
  // Six standard deviations from the middle, in a draw of 1e9 once.
  constexpr double k_far = 6.0;
  const bool within = points.front()[1] - slope_at(0) * (k_far + z) >= 0.0 &&
                      points.back()[1] + slope_at(points.size() - 2) *
                                             (k_far - numeric::normal_quantile(points.back()[0])) <=
                          1.0;
  return within ? text : text + " in [0 %, 100 %]";
}

std::string pair_text(const estimate::CarriedRank& one) {
  return one.first + ", " + one.second;
}

std::string rank_text(const estimate::CarriedRank& one) {
  return short_text(one.rank, 4);
}

}  // namespace

std::vector<Line> carried(const Asked& asked, const estimate::CarriedOver& known,
                          const Value& since) {
  Lines lines;
  lines.comment(say("carry.heading", text(asked.scenario.title), since));
  bool line_differs = false;
  for (const estimate::CarriedLaw& law : known.laws) {
    const std::size_t dot = law.key.find('.');
    line_differs |= law.key.starts_with("line.");
    lines.empty().setting("[" + law.key.substr(0, dot) + "]");
    lines.setting(law.key.substr(dot + 1) + " = " + law_text(law));
  }
  if (!known.ranks.empty()) lines.empty().setting("[correlation]");
  for (const estimate::CarriedRank& one : known.ranks) {
    lines.setting(pair_text(one) + " = " + rank_text(one));
  }
  lines.empty().comment(say("carry.place"));
  lines.comment(say(line_differs ? "carry.line_differs" : "carry.line_same"));
  if (!known.ranks.empty()) lines.comment(say("carry.together"));
  return lines.with_cautions();
}

std::vector<Line> carried(const Asked& asked, const estimate::ChanceResult& result) {
  if (!result.carried) return {};
  return carried(asked, *result.carried, say(result.learned ? "carry.shown" : "carry.planned"));
}

std::vector<Line> carried(const Asked& asked, const Updated& updated) {
  const line::Posterior& result = updated.posterior;
  if (!result.carried) return {};
  return carried(asked, *result.carried,
                 say(result.readings == 1 ? "carry.reading" : "carry.readings",
                     count(result.readings), moment(result.now)));
}

Json carried_members(const estimate::CarriedOver& known) {
  Members object;
  for (const estimate::CarriedLaw& law : known.laws) object(law.key, law_text(law));
  Members together;
  for (const estimate::CarriedRank& one : known.ranks) together(pair_text(one), one.rank);
  return object("correlation", Json(together));
}

}  // namespace blendrisk::answer
