#include "answer/shop_laws.hpp"

#include <algorithm>
#include <cmath>

#include "answer/learn.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

using learn::GaugePart;
using learn::PumpPart;
using learn::SensorPart;
using learn::ShopLaws;
using learn::StudentLaw;

std::string law_text(const StudentLaw& law, double center, double factor, const std::string& unit) {
  const double scale = factor * law.scale;
  const std::string of = fixed_text(factor * center, std::max(2, decimals_for(scale))) + " " +
                         unit + ", " + significant_text(scale, 4) + " " + unit;
  const bool normal = law.dof >= learn::k_most_dof;
  return normal ? "normal(" + of + ")" : "student(" + of + ", " + short_text(law.dof, 4) + ")";
}

std::string pump_text(const StudentLaw& law) {
  return content_law_text(law) + " in [0 %, 100 %]";
}

std::string name_text(const std::string& name) {
  return shortened(name.empty() ? "learn.no_name"_w : name, 40);
}

Value pump_row(const PumpPart& part, std::size_t pump) {
  const learn::LawOfPump& one = part.laws.pumps[pump];
  return say("learn.pump.one", text(name_text(part.names[pump])), count(one.tests),
             count(one.deliveries), content(one.mean, 2));
}

/// Each pump with its law, and a pump that has none.
void tell_pumps(const PumpPart& part, const std::string& indent, Lines& lines) {
  const auto add = [&](const StudentLaw& law) {
    lines.setting("#" + indent + "  content = " + pump_text(law));
  };
  for (std::size_t i = 0; i < part.names.size(); ++i) {
    lines.setting("#" + indent + shown(pump_row(part, i)));
    if (part.laws.pumps[i].law) add(*part.laws.pumps[i].law);
  }
  if (!part.laws.new_pump) return;
  lines.setting("#" + indent + "learn.pump.new"_w);
  add(*part.laws.new_pump);
}

Value spreads(const PumpPart& part) {
  const learn::Components& variances = part.laws.components;
  const bool by_pump = part.laws.pumps_apart && part.names.size() > 1;
  const bool noisy = variances.residual > 0.0;
  const char* id = by_pump ? (noisy ? "learn.pump.spread.all" : "learn.pump.spread.pumps")
                           : (noisy ? "learn.pump.spread.tests" : "learn.pump.spread");
  return say(id, content(std::sqrt(variances.group), 2), content(std::sqrt(variances.residual), 2),
             content(std::sqrt(variances.outer), 2));
}

/// What is known where all tests are of the very fuel that will be pumped.
void tell_same_fuel(const PumpPart& part, Lines& lines) {
  constexpr std::size_t k_most_listed = 50;
  const auto [low, high] = std::ranges::minmax(part.contents);
  if (part.contents.size() > k_most_listed || !(high > low)) return;
  std::string law;
  for (const double one : part.contents) {
    law += (law.empty() ? "tests(" : ", ") + short_text(100.0 * one, 12) + " %";
  }
  const bool one = part.laws.none.has_value();
  lines.rule().comment(say(one ? "learn.one_fuel" : "learn.same_fuel"));
  lines.setting("# content = " + law + ")");
}

void tell_lines(const ShopLaws& laws, const std::string& section, Lines& lines) {
  bool first = true;
  for (const LearntLine& line : learnt_lines(laws)) {
    if (line.section != section) continue;
    if (first) lines.empty().setting("[" + section + "]");
    first = false;
    lines.setting(line.key + " = " + line.value);
  }
}

void tell_pump(const LearnView& view, Lines& lines) {
  if (!view.laws.pump.part) return;
  const PumpPart& part = *view.laws.pump.part;
  const learn::PumpLaws& laws = part.laws;
  lines.empty().comment(
      part.names.size() > 1
          ? say("learn.pumps", count(laws.tests), count(laws.deliveries), count(part.names.size()))
          : say("learn.pump", count(laws.tests), count(laws.deliveries)));
  if (!laws.none) lines.comment(spreads(part));
  if (const StudentLaw* law = part.law()) {
    if (part.chosen && part.names.size() > 1) lines.comment(pump_row(part, *part.chosen));
    if (part.untested) lines.comment(say("learn.pump.untested", text(name_text(view.pump))));
    const auto [low, high] = learn::middle_95(*law);
    lines.comment(say("learn.pump.next", content(low, 1), content(high, 1)));
    tell_lines(view.laws, "fuel", lines);
  } else if (!laws.none) {
    lines.comment(say("learn.pump.which"));
    tell_pumps(part, " ", lines);
  }
  const bool alike = part.names.size() == 1 && laws.undated == laws.tests;
  if (alike || laws.deliveries == 1) tell_same_fuel(part, lines);
}

void tell_sensor(const LearnView& view, Lines& lines) {
  if (!view.laws.sensor.part) return;
  const SensorPart& part = *view.laws.sensor.part;
  const learn::LawOfSensor* own = part.own();
  lines.empty().comment(part.laws.cars.size() > 1
                            ? say("learn.sensors", count(own == nullptr ? 0 : own->checks),
                                  count(part.checks), count(part.laws.cars.size()))
                            : say("learn.sensor", count(part.checks)));
  if (part.is_own()) {
    lines.comment(say("learn.sensor.own", say("verify.points", fixed(100.0 * own->mean, 2)),
                      say("verify.points", fixed(100.0 * own->sd, 2))));
  } else if (part.bias() != nullptr) {
    lines.comment(say("learn.sensor.new"));
  }
  tell_lines(view.laws, "sensor", lines);
}

void tell_gauge(const LearnView& view, Lines& lines) {
  if (!view.laws.gauge.part) return;
  const learn::GaugeLaws& laws = view.laws.gauge.part->laws;
  lines.empty().comment(say("learn.gauge", count(laws.fills), count(laws.heels)));
  if (laws.none) return;
  lines.comment(say("learn.gauge.scatter", number(laws.scatter, 3)));
  for (const char* section : {"tank", "heel", "correlation"}) {
    tell_lines(view.laws, section, lines);
  }
}

void tell_group(const GroupLaws& group, Lines& lines) {
  const ShopLaws& laws = group.laws;
  const auto& pump = laws.pump.part;
  const auto& sensor = laws.sensor.part;
  const auto& gauge = laws.gauge.part;
  const learn::LawOfSensor* own = sensor ? sensor->own() : nullptr;
  lines.setting(
      "# " + shown(say("learn.group", text(name_text(group.name)), count(laws.rows),
                       count(pump ? pump->laws.tests : 0), count(own == nullptr ? 0 : own->checks),
                       count(gauge ? gauge->laws.fills : 0))));
  const std::vector<LearntLine> learnt = learnt_lines(laws);
  std::string section;
  for (const LearntLine& line : learnt) {
    if (line.section != section) lines.setting("#   [" + line.section + "]");
    section = line.section;
    lines.setting("#   " + line.key + " = " + line.value);
  }
  const bool by_pump = pump && !pump->laws.none && pump->law() == nullptr;
  if (by_pump) tell_pumps(*pump, "   ", lines);
  if (learnt.empty() && !by_pump) lines.setting("#   " + "learn.group.nothing"_w);
}

}  // namespace

std::string content_law_text(const StudentLaw& law) {
  return law_text(law, law.center, 100.0, "%");
}

std::string volume_law_text(const StudentLaw& law) {
  return law_text(law, law.center, 1.0, "L");
}

std::vector<LearntLine> learnt_lines(const ShopLaws& laws) {
  std::vector<LearntLine> lines;
  const auto& pump = laws.pump.part;
  if (pump && pump->law() != nullptr) {
    lines.push_back({"fuel", "content", pump_text(*pump->law())});
  }
  if (const auto& sensor = laws.sensor.part) {
    if (sensor->bias() != nullptr) {
      lines.push_back({"sensor", "bias", content_law_text(*sensor->bias())});
    }
    if (const auto noise = sensor->noise()) {
      lines.push_back({"sensor", "noise", short_text(100.0 * *noise, 3) + " %"});
    }
  }
  const auto& gauge = laws.gauge.part;
  if (!gauge || !gauge->laws.error) return lines;
  if (gauge->laws.click_off) {
    lines.push_back({"tank", "click-off", volume_law_text(*gauge->laws.click_off)});
  }
  lines.push_back({"heel", "gauge-error", volume_law_text(*gauge->laws.error)});
  if (gauge->laws.rank_correlation != 0.0) {
    lines.push_back({"correlation", "tank.click-off, heel.gauge-error",
                     fixed_text(gauge->laws.rank_correlation, 3)});
  }
  return lines;
}

std::vector<Line> learned(const LearnView& view) {
  Lines lines;
  lines.comment(view.car.empty()
                    ? say("learn.log", text(cleaned(view.file)), count(view.laws.rows))
                    : say("learn.log.car", text(cleaned(view.file)), count(view.laws.rows),
                          count(view.laws.of_car), text(name_text(view.car))));
  tell_pump(view, lines);
  tell_sensor(view, lines);
  tell_gauge(view, lines);
  lines.empty().setting("# " + "learn.mind"_w);
  for (const Value& one : not_told(view)) lines.comment(say("item", one));
  if (!view.groups.empty()) {
    lines.rule().setting("# " + shown(say("learn.groups", text(name_text(view.group_column)))));
  }
  for (const GroupLaws& group : view.groups) tell_group(group, lines);
  return lines.rule().comment(say("learn.log.method")).with_cautions();
}

}  // namespace blendrisk::answer
