#include "report/guide_html.hpp"

#include "report/cautions.hpp"
#include "report/guide_parts.hpp"
#include "report/guide_style.hpp"
#include "report/labels.hpp"
#include "report/page.hpp"
#include "version.hpp"

namespace blendrisk::report {
namespace {

/// A word of a command that someone may paste into a shell: quoted where it is not plain.
std::string shell_word(const std::string& word) {
  constexpr std::string_view k_plain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._-/";
  // In front of a name that would be an option.
  const std::string text = (word.starts_with('-') ? "./" : "") + word;
  if (text.find_first_not_of(k_plain) == std::string::npos) return text;
  if (text.find_first_of("\"$`\\!") == std::string::npos) return '"' + text + '"';
  std::string quoted = "'";
  for (const char c : text) quoted += c == '\'' ? "'\\''" : std::string(1, c);
  return quoted + "'";
}

/// Writes what the guide says beside its steps and amounts.
class Page {
 public:
  Page(const scenario::Scenario& scenario, const decide::Guide& guide, const GuideSources& sources,
       const estimate::Options& options, UnitSystem units)
      : scenario_(scenario), guide_(guide), sources_(sources), options_(options), units_(units) {}

  std::string head() const {
    const std::string title = html(scenario_.title);
    return "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
           "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
           "<meta name=\"color-scheme\" content=\"light dark\">\n<title>" +
           title + ": guide to changing the fuel</title>\n<style>" + k_guide_style +
           "</style>\n</head>\n<body>\n<header>\n<h1>" + title +
           "</h1>\n<p class=\"soft\">Guide to changing the fuel. Made on " + html(sources_.date) +
           " with blendrisk " + k_version + ". Accepted risk of a miss: " +
           html(short_text(100.0 * scenario_.limits.accepted_risk)) +
           " %.</p>\n</header>\n<main>\n";
  }

  std::string risk(const GuidePictures& pictures, const std::string& alt) const {
    const estimate::ChanceResult& chance = guide_.chance;
    std::string body = paragraph(
        "Filling as planned from " + planned_reading({scenario_, guide_, units_}) +
        " indicated, the chance of landing outside the limits (" + limits_text() + ") is " +
        strong(
            data("chance/outside/chance", chance.outside.chance, estimate_text(chance.outside))) +
        "; the accepted risk is " + html(short_text(100.0 * scenario_.limits.accepted_risk)) +
        " %. The tank lands at about " +
        data("chance/landed/quantiles/0.5", chance.landed.quantiles[2],
             content_text(chance.landed.quantiles[2], 1)) +
        ", in 95 of 100 cases between " +
        data("chance/landed/quantiles/0.025", chance.landed.quantiles[0],
             content_text(chance.landed.quantiles[0], 1)) +
        " and " +
        data("chance/landed/quantiles/0.975", chance.landed.quantiles[4],
             content_text(chance.landed.quantiles[4], 1)) +
        ".");
    return section(
        "risk", "How the risk grows with the old fuel left",
        body + picture(pictures.risk_svg, alt,
                       "Chance of a miss against what the gauge shows before the fill."));
  }

  std::string line(const GuidePictures& pictures, const std::string& alt) const {
    if (!guide_.arrive) return {};
    const estimate::Arrival& arrival = guide_.arrive->arrival;
    std::string body = paragraph(
        "After the fill the engine still burns what the line holds. The injectors get fuel within "
        "the "
        "limit" +
        (arrival.burn_l ? " after about " +
                              data("arrive/burn/quantiles/0.5", (*arrival.burn_l)[2],
                                   volume_text((*arrival.burn_l)[2], units_)) +
                              " burned, in 95 of 100 cases between " +
                              data("arrive/burn/quantiles/0.025", (*arrival.burn_l)[0],
                                   volume_text((*arrival.burn_l)[0], units_)) +
                              " and " +
                              data("arrive/burn/quantiles/0.975", (*arrival.burn_l)[4],
                                   volume_text((*arrival.burn_l)[4], units_)) +
                              "."
                        : std::string(" in hardly any case.")));
    return section(
        "line", "How the new fuel comes through the line",
        body + picture(pictures.rail_svg, alt,
                       "Content at the injectors against what was burned since the fill."));
  }

  std::string assumed() const {
    std::string body =
        "<table class=\"assumed\">\n<thead>\n<tr><th scope=\"col\">what</th><th "
        "scope=\"col\">taken as</th><th scope=\"col\">on the word "
        "of</th></tr>\n</thead>\n<tbody>\n";
    for (const scenario::Given& given : scenario_.given) {
      if (given.key == "title") continue;
      const auto note = sources_.notes.find(given.key);
      body += row_of(given, note == sources_.notes.end() ? "" : note->second);
    }
    for (const scenario::Given& given : scenario_.defaults) body += row_of(given, "default");
    return section("assumed", "What was assumed", body + "</tbody>\n</table>\n");
  }

  /// The shortest, above the first step.
  std::string caution() const {
    return "<p><strong>" + html(std::string(k_short_caution)) + "</strong></p>\n";
  }

  std::string cautions() const {
    std::string body = "<ul>\n";
    for (const std::string_view caution : k_cautions) {
      body += "<li>" + html(caution) + "</li>\n";
    }
    return section("cautions", "Cautions", body + "</ul>\n");
  }

  std::string again() const {
    std::string command = "blendrisk guide " + shell_word(sources_.scenario_name);
    for (const scenario::Given& given : sources_.overrides) {
      command += " --" + given.key + " " + shell_word(given.value);
    }
    if (units_ == UnitSystem::us) command += " --units us";
    command += " --seed " + std::to_string(options_.seed) + " --output guide.html";
    return section("again", "To make this page again",
                   "<details>\n<summary>The exact scenario and command</summary>\n<pre>" +
                       html_lines(command) + "</pre>\n<pre>" + html_lines(sources_.scenario_text) +
                       "</pre>\n</details>\n");
  }

 private:
  std::string limits_text() const {
    const scenario::Limits& limits = scenario_.limits;
    if (limits.minimum && limits.maximum) {
      return html(content_text(*limits.minimum)) + " to " + html(content_text(*limits.maximum));
    }
    return limits.minimum ? "at least " + html(content_text(*limits.minimum))
                          : "at most " + html(content_text(*limits.maximum));
  }

  std::string row_of(const scenario::Given& given, const std::string& note) const {
    const std::string value = units_ == UnitSystem::us ? in_gallons(given.value) : given.value;
    return "<tr><th scope=\"row\">" + html(label(given.key)) + "</th><td>" + html(value) +
           "</td><td>" + html(note) + "</td></tr>\n";
  }

  const scenario::Scenario& scenario_;
  const decide::Guide& guide_;
  const GuideSources& sources_;
  const estimate::Options& options_;
  UnitSystem units_;
};

}  // namespace

CurveView guide_curve(const scenario::Scenario& scenario, const decide::Guide& guide) {
  CurveView view;
  view.scenario = scenario;
  view.along.key = "heel.indicated";
  view.values = guide.curve_l;
  view.points = guide.curve;
  view.crossings = {guide.crossings};
  return view;
}

std::string guide_html(const scenario::Scenario& scenario, const decide::Guide& guide,
                       const GuideSources& sources, const GuidePictures& pictures,
                       const std::string& risk_alt, const std::string& rail_alt,
                       const estimate::Options& options, UnitSystem units) {
  const GuideView view{scenario, guide, units};
  const Page page(scenario, guide, sources, options, units);
  return page.head() + page.caution() + guide_steps(view) + guide_amounts(view) +
         page.risk(pictures, risk_alt) + page.line(pictures, rail_alt) + page.assumed() +
         page.cautions() + page.again() + "</main>\n</body>\n</html>\n";
}

}  // namespace blendrisk::report
