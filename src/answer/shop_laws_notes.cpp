#include <algorithm>
#include <cmath>

#include "answer/learn.hpp"
#include "answer/plain_text.hpp"
#include "answer/shop_laws.hpp"
#include "answer/words.hpp"
#include "text/pieces.hpp"
#include "units/clock.hpp"

namespace blendrisk::answer {
namespace {

using Notes = std::vector<Value>;

Value on(double day) {
  return text(units::calendar_text(static_cast<long>(day)));
}

void note_season(const learn::PumpLaws& laws, Notes& notes) {
  const learn::Season& season = laws.season;
  if (laws.undated == laws.tests) return;  // which is said of the deliveries
  if (laws.undated > 0) return notes.push_back(say("learn.season.undated", count(laws.undated)));
  if (!season.asked) {
    return notes.push_back(say("learn.season.short", fixed(season.years, 1)));
  }
  if (!season.told) {
    return notes.push_back(
        say("learn.season.hidden", percent(season.chance, 2), content(season.could_hide, 1)));
  }
  notes.push_back(say("learn.season.told", content(season.amplitude, 1), percent(season.chance, 2),
                      on(*season.on_day)));
}

void note_tester(const learn::PumpLaws& laws, Notes& notes) {
  using enum learn::TesterScatter;
  const Value scatter = content(std::sqrt(laws.components.residual), 2);
  switch (laws.scatter) {
    case known:
      return;
    case from_log:
      return notes.push_back(say("learn.tester.from_log", scatter));
    case more_in_log:
      return notes.push_back(say("learn.tester.more", scatter));
    case taken_as_none:
      return notes.push_back(say("learn.tester.none"));
  }
}

void note_pump(const LearnView& view, Notes& notes) {
  if (!view.laws.pump.part) return notes.push_back(text(reason(view.laws.pump.why)));
  const learn::PumpPart& part = *view.laws.pump.part;
  const learn::PumpLaws& laws = part.laws;
  if (laws.none) {
    notes.push_back(say(
        *laws.none == learn::NoPumpLaw::all_equal ? "learn.pump.equal" : "learn.pump.one_delivery",
        count(laws.tests)));
    return;
  }
  if (laws.undated == laws.tests) notes.push_back(say("learn.note.each"));
  constexpr std::size_t k_few_deliveries = 5;
  if (laws.deliveries < k_few_deliveries) notes.push_back(say("learn.note.few"));
  if (part.untested && part.law() == nullptr) {
    notes.push_back(say("learn.pump.no_new", text(shortened(view.pump, 40))));
  }
  if (!laws.pumps_apart) {
    notes.push_back(say("learn.pump.not_apart"));
  } else if (laws.pumps_alike) {
    notes.push_back(say(*laws.pumps_alike < 0.05 ? "learn.pump.differ" : "learn.pump.alike",
                        percent(*laws.pumps_alike, 2)));
  }
  note_season(laws, notes);
  if (laws.partings > 0) notes.push_back(say("learn.pump.parted", count(laws.partings)));
  note_tester(laws, notes);
}

void note_sensor(const LearnView& view, Notes& notes) {
  if (!view.laws.sensor.part) return notes.push_back(text(reason(view.laws.sensor.why)));
  const learn::SensorPart& part = *view.laws.sensor.part;
  const learn::LawOfSensor* own = part.own();
  if (part.bias() == nullptr) notes.push_back(say("learn.sensor.none"));
  if (part.bias() != nullptr && own != nullptr && own->none) {
    notes.push_back(say(*own->none == learn::NoSensorLaw::all_equal ? "learn.sensor.equal"
                                                                    : "learn.sensor.one"));
  }
  if (part.is_own()) {
    if (own->slope) {
      notes.push_back(
          say("learn.sensor.slope", fixed(10.0 * *own->slope, 2), percent(own->slope_chance, 2)));
    } else if (!own->slope_asked) {
      notes.push_back(say("learn.sensor.no_slope"));
    }
    if (own->tester_explains_all) notes.push_back(say("learn.sensor.tester"));
  }
  if (!part.off.empty()) notes.push_back(lines_left_out("learn.sensor.off", part.off));
}

void note_gauge(const LearnView& view, Notes& notes) {
  if (!view.laws.gauge.part) return notes.push_back(text(reason(view.laws.gauge.why)));
  const learn::GaugePart& part = *view.laws.gauge.part;
  const learn::GaugeLaws& laws = part.laws;
  if (!part.off.empty()) notes.push_back(lines_left_out("learn.gauge.off", part.off));
  if (laws.none) {
    notes.push_back(
        say(*laws.none == learn::NoGaugeLaw::all_equal ? "learn.gauge.equal" : "learn.gauge.few"));
    return;
  }
  if (laws.heels == 0) notes.push_back(say("learn.gauge.not_apart"));
  if (view.exact_click_off && laws.fills > 0) notes.push_back(say("learn.gauge.exact"));
  if (laws.step_l > 0.0) {
    notes.push_back(say(laws.step_explains_all ? "learn.gauge.step.all" : "learn.gauge.step",
                        text(short_text(laws.step_l) + " L")));
  }
  if (laws.constant) notes.push_back(say("learn.gauge.constant"));
  if (laws.slope) {
    notes.push_back(say("learn.gauge.slope", fixed(*laws.slope, 3), percent(laws.slope_chance, 2),
                        text(short_text(view.indication.value_or(0.0)) + " L")));
  }
}

}  // namespace

std::string reason(learn::Untold why) {
  static constexpr std::array k_ids{"learn.no_pump_test", "learn.not_asked", "learn.no_check",
                                    "learn.no_such_car", "learn.no_fill"};
  return std::string(words(k_ids.at(static_cast<std::size_t>(why))));
}

std::vector<Value> not_told(const LearnView& view) {
  Notes notes;
  note_pump(view, notes);
  if (view.laws.sensor.why == learn::Untold::not_asked && !view.laws.sensor.part) {
    notes.push_back(text(reason(learn::Untold::not_asked)));
  } else {
    note_sensor(view, notes);
    note_gauge(view, notes);
    if (view.exact_tests) notes.push_back(say("verify.note.exact"));
    if (!learnt_lines(view.laws).empty()) notes.push_back(say("learn.place"));
  }
  const std::string unused = text::listed(view.unused);
  if (!unused.empty()) {
    notes.push_back(say("verify.note.unused", text(shortened(unused, 200))));
  }
  return notes;
}

}  // namespace blendrisk::answer
