#include <cmath>

#include "answer/learn.hpp"
#include "answer/shop_laws.hpp"
#include "answer/words.hpp"
#include "units/clock.hpp"

namespace blendrisk::answer {
namespace {

using learn::StudentLaw;

std::optional<Json> law_members(const StudentLaw* law) {
  if (law == nullptr) return {};
  return Json(Members()("center", law->center)("scale", law->scale)("dof", law->dof));
}

std::optional<Json> law_members(const std::optional<StudentLaw>& law) {
  return law_members(law ? &*law : nullptr);
}

Json lines_members(const learn::ShopLaws& laws) {
  Members lines;
  for (const LearntLine& line : learnt_lines(laws)) {
    lines(line.section + (line.section == "correlation" ? ": " : ".") + line.key, line.value);
  }
  return lines;
}

Json season_members(const learn::Season& season) {
  Members object;
  object("years", season.years)("asked", season.asked)("told", season.told);
  if (!season.asked) return object;
  object("chance", season.chance)("amplitude", season.amplitude);
  object("could_hide", season.could_hide);
  if (season.on_day) object("on", units::calendar_text(static_cast<long>(*season.on_day)));
  return object;
}

Json pump_members(const learn::PumpPart& part) {
  const learn::PumpLaws& laws = part.laws;
  const std::string none = "none.pump_law"_w;
  Members object;
  object("tests", laws.tests)("deliveries", laws.deliveries)("undated", laws.undated);
  object("partings", laws.partings);
  object("next_delivery", law_members(part.law()), none);
  object("new_pump", law_members(laws.new_pump), "none.one_pump"_w);
  object("pumps_alike", laws.pumps_alike, "none.groups"_w);
  Json pumps = Json::array();
  for (std::size_t i = 0; i < part.names.size(); ++i) {
    const learn::LawOfPump& one = laws.pumps[i];
    Members pump;
    pump("pump", part.names[i])("tests", one.tests)("deliveries", one.deliveries);
    pump("mean", one.mean)("next_delivery", law_members(one.law), none);
    pumps.push_back(pump);
  }
  object("pumps", pumps);
  if (laws.none) return object;
  object("delivery_sd", std::sqrt(laws.components.group));
  object("pump_sd", std::sqrt(laws.components.outer));
  object("test_sd", std::sqrt(laws.components.residual));
  return object("season", season_members(laws.season));
}

Json sensor_members(const learn::SensorPart& part) {
  Members object;
  object("checks_of_all", part.checks)("cars", part.laws.cars.size())("own", part.is_own());
  object("bias", law_members(part.bias()), "none.sensor_law"_w);
  object("noise", part.noise(), "none.sensor_law"_w);
  object("between_sd", part.laws.between_sd);
  object("sensors_alike", part.laws.sensors_alike, "none.groups"_w);
  const learn::LawOfSensor* own = part.own();
  object("checks", own == nullptr ? std::size_t{0} : own->checks);
  object("left_out", Json(part.off));
  if (!part.is_own()) return object;
  object("mean", own->mean)("standard_deviation", own->sd);
  object("slope", own->slope, "none.slope"_w)("tester_explains_all", own->tester_explains_all);
  return own->slope_asked ? object("slope_chance", own->slope_chance) : object;
}

Json gauge_members(const learn::GaugePart& part) {
  const learn::GaugeLaws& laws = part.laws;
  Members object;
  object("fills", laws.fills)("heels", laws.heels)("left_out", Json(part.off));
  object("gauge_error", law_members(laws.error), "none.gauge_law"_w);
  object("click_off", law_members(laws.click_off), "none.click_off"_w);
  if (laws.none) return object;
  object("rank_correlation", laws.rank_correlation)("standard_deviation", laws.scatter);
  return object("slope", laws.slope, "none.slope"_w)("slope_chance", laws.slope_chance);
}

template <class Part, class Told>
void put(Members& object, const char* name, const learn::Told<Part>& told, const Told& tell) {
  object(name, told.part ? std::optional<Json>(tell(*told.part)) : std::nullopt, reason(told.why));
}

Members laws_members(const learn::ShopLaws& laws) {
  Members object;
  object("rows", laws.rows)("rows_of_car", laws.of_car)("lines", lines_members(laws));
  put(object, "pump", laws.pump, pump_members);
  put(object, "sensor", laws.sensor, sensor_members);
  put(object, "gauge", laws.gauge, gauge_members);
  return object;
}

}  // namespace

Json members(const LearnView& view, double elapsed_s) {
  Json object = learn_opening("records", view.file, elapsed_s);
  object["car"] = view.car.empty() ? Json() : Json(view.car);
  object["chosen_pump"] = view.pump.empty() ? Json() : Json(view.pump);
  object.update(laws_members(view.laws));
  if (view.same_delivery_days) object["same_delivery_days"] = json(*view.same_delivery_days);
  Json groups = Json::array();
  for (const GroupLaws& group : view.groups) {
    groups.push_back(laws_members(group.laws)("group", group.name));
  }
  object["groups"] = groups;
  object["notes"] = shown_all(not_told(view));
  return object;
}

}  // namespace blendrisk::answer
