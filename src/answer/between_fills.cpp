#include "answer/between_fills.hpp"

#include "answer/shared.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

using estimate::BandChances;
using estimate::Fits;
using estimate::Leg;

/// The end of the ids of what is said of it.
std::string name_of(Fits fits) {
  return fits == Fits::both      ? "both"
         : fits == Fits::old_one ? "old"
         : fits == Fits::new_one ? "new"
                                 : "neither";
}

Json before_members(const scenario::Before& before, const BandChances& chances) {
  Members object;
  add_limits(object, {.minimum = before.minimum, .maximum = before.maximum}, chances.below_minimum,
             chances.above_maximum, "none.before.");
  return object("outside", chances.outside)("met", chances.met);
}

}  // namespace

Value old_band(const scenario::Before& before) {
  if (before.minimum && before.maximum) {
    return say("range", content(*before.minimum), content(*before.maximum));
  }
  return before.minimum ? say("gap.at_least", content(*before.minimum))
                        : say("gap.at_most", content(*before.maximum));
}

Value held_between(const Leg& leg) {
  const Value holds =
      say("ways.two.holds", content(leg.landed.quantiles[2], 1), chance(leg.limits.outside));
  if (!leg.fits) return joined({holds, say("ways.two.ask")});
  return joined({holds, say("ways.two.fits", chance(leg.before->outside),
                            say("between.fits." + name_of(*leg.fits)))});
}

Section between_section(const scenario::Scenario& scenario, const std::vector<Leg>& legs) {
  const auto in_percent = [](double fraction) { return content(fraction, 1); };
  const bool both = legs.front().fits.has_value();
  Section section{.heading = both ? say("between.heading.before", old_band(scenario.before))
                                  : say("between.heading"),
                  .columns = 27};
  section.text = {say("between.what")};
  for (std::size_t i = 0; i < legs.size(); ++i) {
    const Leg& leg = legs[i];
    const Value fill = count(i + 1);
    section.rows.push_back(
        {say("between.landed", fill), middle_and_range(in_percent, leg.landed.quantiles)});
    section.rows.push_back({say("between.outside"), chance(leg.limits.outside)});
    if (!leg.fits) continue;
    section.rows.push_back({say("between.outside.before"), chance(leg.before->outside)});
    section.rows.push_back({say("between.fits"), say("between.fits." + name_of(*leg.fits))});
    if (*leg.fits == Fits::neither) section.text.push_back(say("between.neither", fill));
    if (*leg.fits == Fits::new_one) section.text.push_back(say("between.new", fill));
  }
  return section;
}

Json between_members(const scenario::Scenario& scenario, const std::vector<Leg>& legs) {
  Json all = Json::array();
  for (std::size_t i = 0; i < legs.size(); ++i) {
    const Leg& leg = legs[i];
    Members object;
    object("after_fill", i + 1)("landed", leg.landed);
    add_limits(object, scenario.limits, leg.limits.below_minimum, leg.limits.above_maximum,
               "none.");
    object("outside", leg.limits.outside)("met", leg.limits.met);
    std::optional<Json> before;
    if (leg.before) before = before_members(scenario.before, *leg.before);
    object("before", before, "none.before"_w);
    object.text("calibration",
                leg.fits ? std::string(words("calibration." + name_of(*leg.fits))) : "",
                "none.before"_w);
    all.push_back(Json(object));
  }
  return all;
}

void add_limits(Members& object, const scenario::Limits& limits,
                const std::optional<estimate::Estimate>& below,
                const std::optional<estimate::Estimate>& above, const std::string& none) {
  object("below_minimum", with(below, "limit", limits.minimum),
         limits.minimum ? "none.estimate"_w : std::string(words(none + "minimum")));
  object("above_maximum", with(above, "limit", limits.maximum),
         limits.maximum ? "none.estimate"_w : std::string(words(none + "maximum")));
}

}  // namespace blendrisk::answer
