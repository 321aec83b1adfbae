#include <vector>

#include "report/advice.hpp"
#include "report/guide_parts.hpp"
#include "report/page.hpp"

namespace blendrisk::report {
namespace {

/// What is wrong with the fill as it is planned.
std::string reasons(const decide::Guide& guide) {
  const estimate::ChanceResult& chance = guide.chance;
  std::string text = "<strong>Do not switch under this plan.</strong>";
  if (!chance.met) {
    text += " The chance of landing outside the limits is " +
            data("chance/outside/chance", chance.outside.chance, estimate_text(chance.outside)) +
            ", more than the accepted risk.";
  }
  if (!chance.dry_met) {
    text += " The tank runs dry before the fill with a chance of " +
            data("chance/run_dry/chance", chance.run_dry.chance, estimate_text(chance.run_dry)) +
            ", more than the dry risk. " + std::string(k_running_dry);
  }
  return text;
}

/// From where filling up does.
std::string from_window(const GuideView& view) {
  const auto& [low, high] = *view.guide.heel.window;
  std::string text = "Start from " + heel_reading(view, "window/1", high) + " indicated";
  if (low == high) {
    text += ", neither more nor less";
  } else if (low > 0.0) {
    text += " or less, but not less than " + heel_reading(view, "window/0", low);
  } else {
    text += " or less";
  }
  return text + ", and fill until the nozzle clicks off.";
}

std::string other_amount(const GuideView& view) {
  const std::string from = "From " + planned_reading(view) + " indicated ";
  const decide::FillResult& fill = view.guide.fill;
  if (*fill.safe_amount_l > 0.0) return from + "put in " + fill_amounts(view) + " instead.";
  std::string text = from + "put in nothing";
  if (fill.largest_amount_l) text += ", or " + fill_amounts(view);
  return text + ".";
}

std::string tested_pump(const GuideView& view) {
  const decide::Instead& instead = *view.guide.fill.instead;
  return "Have the pump tested first: from " + planned_reading(view) + " indicated a content of " +
         data("fill/instead/tested_content", *instead.tested_content,
              content_text(*instead.tested_content, 2)) +
         (instead.tested_at_least ? " or more" : " or less") +
         " does, filling until the nozzle clicks off.";
}

bool any_amount(const decide::GuideTable& table) {
  for (const decide::Cell& cell : table.cells) {
    if (cell.litres) return true;
  }
  return false;
}

/// Everything that was tried and does.
std::vector<std::string> ways(const GuideView& view) {
  const decide::Guide& guide = view.guide;
  const bool from_here = guide.chance.dry_met;
  const auto& instead = guide.fill.instead;
  std::vector<std::string> found;
  if (from_here && guide.fill.safe_amount_l) found.push_back(other_amount(view));
  if (guide.heel.window) found.push_back(from_window(view));
  if (from_here && instead && instead->second_heel_l) {
    found.push_back(two_fills_text(view.scenario, {},
                                   data("fill/instead/second_indicated", *instead->second_heel_l,
                                        gauge_text(*instead->second_heel_l, view.units)) +
                                       " indicated"));
  } else if (guide.heel.second_highest_l) {
    found.push_back(two_fills_text(
        view.scenario,
        heel_reading(view, "lowest_indicated", *guide.heel.lowest_indicated_l) + " indicated",
        heel_reading(view, "second_indicated", *guide.heel.second_highest_l) + " indicated"));
  }
  const bool pump_known = distributions::is_exact(view.scenario.fills.back().content);
  if (from_here && instead && instead->tested_content) {
    found.push_back(tested_pump(view));
  } else if (!pump_known && any_amount(guide.table)) {
    found.emplace_back(
        "Have the pump tested first: the table below tells what does from which reading.");
  }
  return found;
}

}  // namespace

std::string guide_without_plan(const GuideView& view) {
  const estimate::ChanceResult& chance = view.guide.chance;
  std::string body = reasons(view.guide);
  if (chance.met && chance.dry_met) {
    // What is wrong is the waiting, which none of the ways is about.
    return paragraph(
        body +
        " The fill as planned lands within the limits, but no reading of the sensor and no waiting "
        "makes sure of the fuel at the injectors. Have the fuel tested at the engine, or know the "
        "line and the sensor better and make another guide.");
  }
  const std::vector<std::string> found = ways(view);
  if (found.empty()) {
    const bool pump_known = distributions::is_exact(view.scenario.fills.back().content);
    return paragraph(
        body +
        " Nothing that was tried does in its place: no other reading to fill up from, no other "
        "amount, no second fill" +
        (pump_known ? "" : ", no test of the pump") + ". It takes another fuel, or other limits.");
  }
  std::string list;
  for (const std::string& way : found) list += "<li>" + with_code(way) + "</li>\n";
  return paragraph(body) + paragraph("What does in its place; make a guide of it first:") +
         "<ul>\n" + list + "</ul>\n";
}

}  // namespace blendrisk::report
