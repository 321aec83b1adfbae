#include "report/guide_html.hpp"

#include <array>
#include <cmath>

#include "report/cautions.hpp"
#include "report/csv.hpp"
#include "report/guide_style.hpp"
#include "report/labels.hpp"
#include "report/plain_text.hpp"
#include "scenario/quoting.hpp"
#include "version.hpp"

namespace blendrisk::report {
namespace {

using estimate::Side;

/// Markup characters as entities.
std::string escaped_markup(std::string_view text) {
  std::string result;
  for (const char c : text) {
    switch (c) {
      case '&':
        result += "&amp;";
        break;
      case '<':
        result += "&lt;";
        break;
      case '>':
        result += "&gt;";
        break;
      case '"':
        result += "&quot;";
        break;
      case '\'':
        result += "&#39;";
        break;
      default:
        result += c;
    }
  }
  return result;
}

/// A number with where its command's JSON has it.
std::string data(const std::string& source, double value, const std::string& text) {
  return "<data class=\"n\" data-source=\"" + html(source) + "\" value=\"" + csv_number(value) +
         "\">" + html(text) + "</data>";
}

std::string strong(const std::string& markup) {
  return "<strong class=\"amount\">" + markup + "</strong>";
}

std::string base64(std::string_view bytes) {
  constexpr std::string_view digits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const auto byte = [&](std::size_t k) -> unsigned {
      return i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0U;
    };
    const unsigned group = byte(0) << 16U | byte(1) << 8U | byte(2);
    for (unsigned k = 0; k < 4; ++k) {
      const bool padding = i + k > bytes.size();
      text += padding ? '=' : digits[group >> (18U - 6U * k) & 63U];
    }
  }
  return text;
}

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

std::string section(const std::string& id, const std::string& title, const std::string& body) {
  return "<section aria-labelledby=\"" + id + "\">\n<h2 id=\"" + id + "\">" + html(title) +
         "</h2>\n" + body + "</section>\n";
}

std::string paragraph(const std::string& markup, const char* style = "") {
  return std::string("<p") + (*style == '\0' ? "" : std::string(" class=\"") + style + "\"") + ">" +
         markup + "</p>\n";
}

std::string picture(const std::string& svg, const std::string& alt, const std::string& caption) {
  if (svg.empty()) return {};
  return "<figure>\n<img alt=\"" + html(alt) + "\" src=\"data:image/svg+xml;base64," + base64(svg) +
         "\">\n<figcaption>" + html(caption) + "</figcaption>\n</figure>\n";
}

/// Writes one guide.
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

  std::string steps() const {
    std::string body = "<p class=\"warn\">" + (guide_.works ? warning() : no_plan()) + "</p>\n";
    if (guide_.works) {
      body += "<ol class=\"steps\">\n";
      for (const std::string& step : {run_down(), fill(), wait(), change()}) {
        body += "<li>" + step + "</li>\n";
      }
      body += "</ol>\n";
    }
    return section("steps", "What to do", body);
  }

  std::string amounts() const {
    const decide::GuideTable& table = guide_.table;
    if (table.readings_l.empty()) return {};
    const std::string unit = units_ == UnitSystem::us ? "gal" : "L";
    std::string body = around_the_plan() +
                       paragraph(
                           "If the gauge shows what stands at the left and the pump tested at "
                           "what stands above, the dispenser has to show at least so many " +
                           unit +
                           ". &ldquo;none&rdquo;: no amount brings the chance of a miss within "
                           "the accepted risk.");
    body += "<table class=\"amounts\">\n<caption>At least, in " + unit +
            "</caption>\n<thead>\n<tr><th scope=\"col\">gauge shows</th>";
    for (const double content : table.contents) {
      body += "<th scope=\"col\">" + html(content_text(content)) + "</th>";
    }
    body += "</tr>\n</thead>\n<tbody>\n";
    std::size_t at = 0;
    for (const double reading : table.readings_l) {
      body += "<tr><th scope=\"row\">" + html(gauge_text(reading, units_)) + "</th>";
      for (std::size_t c = 0; c < table.contents.size(); ++c) {
        const auto& amount = table.amounts_l[at];
        const std::string source = "table/" + std::to_string(at) + "/" + csv_number(reading) + "/" +
                                   csv_number(table.contents[c]);
        const std::string text = amount ? without_unit(dispenser_text(*amount, units_)) : "none";
        body += "<td>" + (amount ? data(source, *amount, text) : text) + "</td>";
        ++at;
      }
      body += "</tr>\n";
    }
    return section(
        "amounts", "Other amounts, and how far the plan may be off",
        body + "</tbody>\n</table>\n" +
            paragraph("A tester's own error is not in these amounts: use the lower end of "
                      "what it may mean. The waiting above is for the plan above; after another "
                      "amount, ask for it "
                      "again.",
                      "soft"));
  }

  std::string risk(const GuidePictures& pictures, const std::string& alt) const {
    const estimate::ChanceResult& chance = guide_.chance;
    std::string body = paragraph(
        "Filling as planned from " + html(gauge_text(scenario_.heel.indicated_l, units_)) +
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
  static std::string without_unit(const std::string& text) {
    return text.substr(0, text.find(' '));
  }

  /// Markup of text whose lines are to stay.
  static std::string html_lines(const std::string& text) {
    std::string result;
    std::size_t from = 0;
    while (from < text.size()) {
      const std::size_t end = std::min(text.find('\n', from), text.size());
      // Cleaning folds white space: indents and columns are kept apart from it.
      std::string line = text.substr(from, end - from);
      std::erase(line, '\r');
      std::string kept;
      for (std::size_t at = 0; at <= line.size();) {
        const std::size_t tab = std::min(line.find('\t', at), line.size());
        kept += (at == 0 ? "" : "\t") + scenario::escaped(line.substr(at, tab - at));
        at = tab + 1;
      }
      result += escaped_markup(kept) + "\n";
      from = end + 1;
    }
    return result;
  }

  std::string limits_text() const {
    const scenario::Limits& limits = scenario_.limits;
    if (limits.minimum && limits.maximum) {
      return html(content_text(*limits.minimum)) + " to " + html(content_text(*limits.maximum));
    }
    return limits.minimum ? "at least " + html(content_text(*limits.minimum))
                          : "at most " + html(content_text(*limits.maximum));
  }

  std::string warning() const {
    const bool less = guide_.arrive ? guide_.arrive->arrival.side == Side::below
                                    : scenario_.limits.minimum.has_value();
    return std::string("Do not switch the engine's calibration before the last step: too ") +
           (less ? "little" : "much") + " ethanol under it can ruin the engine.";
  }

  /// Why the plan is none.
  std::string no_plan() const {
    std::string text = "<strong>Do not switch under this plan.</strong>";
    if (!guide_.chance.met) {
      text += " The chance of landing outside the limits is " +
              data("chance/outside/chance", guide_.chance.outside.chance,
                   estimate_text(guide_.chance.outside)) +
              ", more than the accepted risk.";
    }
    if (!guide_.chance.dry_met) {
      text += " The tank runs dry before the fill with a chance of " +
              data("chance/run_dry/chance", guide_.chance.run_dry.chance,
                   estimate_text(guide_.chance.run_dry)) +
              ".";
    }
    if (guide_.chance.met && guide_.arrive && !guide_.arrive->met) {
      text += " No reading of the sensor and no waiting makes sure of the fuel at the injectors.";
    }
    return text + " " + instead();
  }

  /// What would do in place of a plan that does not.
  std::string instead() const {
    const decide::HeelResult& heel = guide_.heel;
    if (heel.window) {
      return "From " +
             data("heel/highest_indicated", heel.window->at(1),
                  gauge_text(heel.window->at(1), units_)) +
             " indicated or less, not below " + html(gauge_text(heel.window->at(0), units_)) +
             ", filling until the nozzle clicks off would do: make a plan from there.";
    }
    return "Make another plan: run the tank down further, test the pump, or fill twice; "
           "<code>heel</code> and <code>fill</code> say what would do.";
  }

  bool both_limits() const {
    return scenario_.limits.minimum.has_value() && scenario_.limits.maximum.has_value();
  }

  std::string run_down() const {
    std::string text = "Run the tank down to " +
                       strong(html(gauge_text(scenario_.heel.indicated_l, units_))) +
                       " as the gauge shows it";
    text += both_limits() ? ", not more and not less" : " or less";
    const auto& lowest = guide_.heel.lowest_indicated_l;
    if (lowest && *lowest > 0.0) {
      text += "; below " + data("heel/lowest_indicated", *lowest, gauge_text(*lowest, units_)) +
              " the pump may draw air";
    }
    return text + ".";
  }

  std::string fill() const {
    const scenario::Fill& fill = scenario_.fills.front();
    std::string text;
    if (fill.amount_l) {
      text =
          "Put in " + strong(html(dispenser_text(*fill.amount_l, units_))) +
          " by the dispenser's display. If the nozzle clicks off before, that is as much as goes "
          "in.";
    } else {
      text = "Fill up <strong>until the nozzle clicks off</strong>, and no further.";
    }
    return text + " The chance of landing outside the limits is then " +
           data("chance/outside/chance", guide_.chance.outside.chance,
                estimate_text(guide_.chance.outside)) +
           ".";
  }

  std::string wait() const {
    if (!guide_.arrive) {
      return "Wait until the new fuel has pushed the old out of the line. How long that takes is "
             "not "
             "part of this guide, since the plan does not say what the line holds: measure the "
             "fuel "
             "at the engine.";
    }
    const decide::WaitFor& wait = guide_.arrive->wait_for;
    if (wait.nothing_to_wait_for) {
      return "There is nothing to wait for: the fuel in the line is within the limit already.";
    }
    const decide::EnoughBurn& enough = guide_.arrive->enough;
    const bool rising = guide_.arrive->arrival.side == Side::below;
    std::string text = "Run the engine gently, still on the old calibration";
    if (wait.reading) {
      text += ", until the content sensor shows " +
              strong(data("arrive/wait_for/reading", *wait.reading, content_text(*wait.reading)) +
                     (rising ? " or more" : " or less")) +
              " and stays there over several looks";
      if (wait.time_s) {
        text += ". That takes about " +
                data("arrive/wait_for/time/quantiles/0.5", (*wait.time_s)[1],
                     time_text((*wait.time_s)[1])) +
                ", in 90 of 100 cases " + html(time_text((*wait.time_s)[0])) + " to " +
                html(time_text((*wait.time_s)[2]));
      }
      text += ".";
      if (scenario_.sensor.noise_sd == 0.0 && distributions::is_exact(scenario_.sensor.bias)) {
        text += " <strong>This takes the sensor as exact: add what yours may be off by.</strong>";
      }
    } else {
      text += ". The sensor is not good enough to wait for a reading of it.";
    }
    if (enough.burn_l) {
      text += " Without a sensor: until " +
              data("arrive/enough/burn", *enough.burn_l, volume_text(*enough.burn_l, units_)) +
              " have been burned";
      if (enough.time_s) {
        text += ", about " + data("arrive/enough/time", *enough.time_s, time_text(*enough.time_s)) +
                " as planned";
      }
      text += ".";
    } else {
      text += " Without a sensor no waiting is enough: " + html(enough.reason) + ".";
    }
    return text;
  }

  std::string change() const {
    std::string text = "Only then switch the calibration.";
    if (guide_.arrive && guide_.arrive->wait_for.reading) {
      text +=
          " If the sensor does not get there, do not switch: something differs from the plan. "
          "Measure the fuel.";
    }
    return text;
  }

  /// How far the plan may be off.
  std::string around_the_plan() const {
    std::string text;
    const decide::HeelResult& heel = guide_.heel;
    if (heel.highest_indicated_l) {
      text += "Filling until the nozzle clicks off lands within the accepted risk from " +
              data("heel/highest_indicated", *heel.highest_indicated_l,
                   gauge_text(*heel.highest_indicated_l, units_)) +
              " indicated or less. ";
    }
    const decide::FillResult& fill = guide_.fill;
    if (fill.safe_amount_l) {
      text += "From " + html(gauge_text(scenario_.heel.indicated_l, units_)) +
              " indicated it takes at least " +
              data("fill/safe_amount", *fill.safe_amount_l,
                   dispenser_text(*fill.safe_amount_l, units_));
      if (fill.largest_amount_l) {
        text += " and at most " + data("fill/largest_amount", *fill.largest_amount_l,
                                       dispenser_text(*fill.largest_amount_l, units_));
      }
      if (fill.margin_l) {
        text += ", " + data("fill/margin", *fill.margin_l, dispenser_text(*fill.margin_l, units_)) +
                " more than plain arithmetic says, for what is not known exactly";
      }
      text += ".";
    } else {
      text += "From " + html(gauge_text(scenario_.heel.indicated_l, units_)) +
              " indicated no amount does unless the pump is tested.";
    }
    return paragraph(text);
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

std::string html(std::string_view text) {
  return escaped_markup(cleaned(text));
}

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
  const Page page(scenario, guide, sources, options, units);
  return page.head() + page.steps() + page.amounts() + page.risk(pictures, risk_alt) +
         page.line(pictures, rail_alt) + page.assumed() + page.cautions() + page.again() +
         "</main>\n</body>\n</html>\n";
}

}  // namespace blendrisk::report
