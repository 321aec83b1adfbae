#include "answer/carry.hpp"

#include <cmath>
#include <vector>

#include "answer/answers.hpp"
#include "answer/shared.hpp"
#include "distributions/families.hpp"
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
  std::vector<double> numbers;
  for (const auto& point : points) numbers.insert(numbers.end(), point.begin(), point.end());
  const distributions::Distribution told = distributions::quantiles(numbers);
  std::string text;
  if (points.size() == 2) {
    const double median = quantile(told, 0.5);
    const double sd = quantile(told, numeric::normal_cdf(1.0)) - median;
    text = "normal(" + percent_text(median) + ", " + short_text(100.0 * sd, 4) + " %)";
  } else {
    for (const auto& [share, value] : points) {
      text += (text.empty() ? "quantiles(" : ", ") + short_text(100.0 * share, 4) +
              " %: " + percent_text(value);
    }
    text += ")";
  }
  if (!law.key.ends_with(".content")) return text;
  constexpr double k_never = 1e-9;
  const bool within = quantile(told, k_never) >= 0.0 && quantile_complement(told, k_never) <= 1.0;
  return within ? text : text + " in [0 %, 100 %]";
}

std::string pair_text(const scenario::Correlation& one) {
  return one.first + ", " + one.second;
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
  for (const scenario::Correlation& one : known.ranks) {
    lines.setting(pair_text(one) + " = " + short_text(one.rank, 4));
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
  for (const scenario::Correlation& one : known.ranks) together(pair_text(one), one.rank);
  return object("correlation", Json(together));
}

}  // namespace blendrisk::answer
