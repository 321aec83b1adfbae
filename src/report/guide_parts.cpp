#include "report/guide_parts.hpp"

#include <cmath>

#include "report/page.hpp"

namespace blendrisk::report {

std::string planned_reading(const GuideView& view) {
  const double reading_l = view.scenario.heel.indicated_l;
  const double steps = reading_l / gauge_step(view.units);
  const bool shown = std::abs(steps - std::round(steps)) < 1e-6;
  return html(shown ? gauge_text(reading_l, view.units) : volume_text(reading_l, view.units));
}

std::string heel_reading(const GuideView& view, const std::string& member, double reading_l) {
  return data("heel/" + member, reading_l, gauge_text(reading_l, view.units));
}

std::string fill_amounts(const GuideView& view) {
  const decide::FillResult& fill = view.guide.fill;
  std::string least = dispenser_text(*fill.safe_amount_l, view.units);
  if (!fill.largest_amount_l) return data("fill/safe_amount", *fill.safe_amount_l, least);
  least.resize(least.find(' '));
  return data("fill/safe_amount", *fill.safe_amount_l, least) + " to " +
         data("fill/largest_amount", *fill.largest_amount_l,
              dispenser_text(*fill.largest_amount_l, view.units));
}

}  // namespace blendrisk::report
