#include "report/advice.hpp"
#include "report/guide_parts.hpp"
#include "report/page.hpp"

namespace blendrisk::report {
namespace {

using estimate::Side;

class Steps {
 public:
  explicit Steps(const GuideView& view)
      : view_(view), scenario_(view.scenario), guide_(view.guide), units_(view.units) {}

  std::string section_text() const {
    std::string body;
    if (!guide_.works) {
      body = "<div class=\"warn\">\n" + guide_without_plan(view_) + "</div>\n";
    } else {
      body = paragraph(warning(), "warn");
      body += "<ol class=\"steps\">\n";
      for (const std::string& step : {run_down(), fill(), wait(), change()}) {
        body += "<li>" + step + "</li>\n";
      }
      body += "</ol>\n";
    }
    return section("steps", "What to do", body);
  }

 private:
  std::string warning() const {
    const bool less = guide_.arrive ? guide_.arrive->arrival.side == Side::below
                                    : scenario_.limits.minimum.has_value();
    return std::string("Do not switch the engine's calibration before the last step: too ") +
           (less ? "little" : "much") + " ethanol under it can ruin the engine.";
  }

  std::string run_down() const {
    const decide::HeelResult& heel = guide_.heel;
    const double planned = scenario_.heel.indicated_l;
    std::string text =
        "Run the tank down to " + strong(planned_reading(view_)) + " as the gauge shows it";
    // The window is that of filling up; what is put in by the display is for this reading.
    const bool fills_up = !scenario_.fills.front().amount_l;
    if (fills_up && heel.window && heel.window->at(0) <= planned && planned <= heel.window->at(1)) {
      const auto& [low, high] = *heel.window;
      text += low > 0.0 ? ": " + heel_reading(view_, "window/0", low) + " to "
                        : std::string(": up to ");
      text += heel_reading(view_, "window/1", high) + " will do.";
    } else {
      text += ", neither more nor less.";
    }
    return text + not_dry();
  }

  std::string not_dry() const {
    const auto& lowest = guide_.heel.lowest_indicated_l;
    if (scenario_.tank.pickup_floor_l == 0.0) {
      return " How low the pump still draws fuel is not told: the plan gives no pickup floor.";
    }
    if (!lowest || *lowest == 0.0) return {};
    // The lowest is rounded up, maybe past the plan.
    const std::string below = *lowest <= scenario_.heel.indicated_l
                                  ? "Below " + heel_reading(view_, "lowest_indicated", *lowest)
                                  : std::string("With less");
    return " " + below + " it runs dry too often. " + std::string(k_running_dry);
  }

  std::string fill() const {
    const scenario::Fill& fill = scenario_.fills.front();
    std::string text;
    if (fill.amount_l) {
      text = "Put in " + strong(html(dispenser_text(*fill.amount_l, units_))) +
             " by the dispenser's display. " + around_amount(*fill.amount_l) +
             "If the nozzle clicks off before, that is as much as goes in.";
    } else {
      text = "Fill up <strong>until the nozzle clicks off</strong>, and no further.";
    }
    return text + " The chance of landing outside the limits is then " +
           data("chance/outside/chance", guide_.chance.outside.chance,
                estimate_text(guide_.chance.outside)) +
           ".";
  }

  /// What else does from the planned reading, where the plan's amount is among it.
  std::string around_amount(double planned_l) const {
    const decide::FillResult& fill = guide_.fill;
    if (!fill.safe_amount_l || planned_l < *fill.safe_amount_l) return {};
    if (!fill.largest_amount_l) return "No less than " + fill_amounts(view_) + " does. ";
    if (planned_l > *fill.largest_amount_l) return {};
    return fill_amounts(view_) + " does, neither less nor more. ";
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
    const bool rising = guide_.arrive->arrival.side == Side::below;
    std::string text = "Run the engine gently, still on the old calibration";
    if (!wait.reading) {
      text += ". The sensor is not good enough to wait for a reading of it.";
    } else {
      text += ", until the content sensor shows " +
              strong(data("arrive/wait_for/reading", *wait.reading, content_text(*wait.reading)) +
                     (rising ? " or more" : " or less")) +
              " and stays there over several looks. " + when_it_shows(wait);
      if (scenario_.sensor.noise_sd == 0.0 && distributions::is_exact(scenario_.sensor.bias)) {
        text += " <strong>This takes the sensor as exact: add what yours may be off by.</strong>";
      }
    }
    return text +
           (wait.reading && !nearly_always(wait) ? " Where it does not show: "
                                                 : " Without a sensor: ") +
           by_burning();
  }

  static bool nearly_always(const decide::WaitFor& wait) { return wait.triggers >= 0.99; }

  /// The share of changes first: the time is only over those.
  std::string when_it_shows(const decide::WaitFor& wait) const {
    const std::string share =
        nearly_always(wait) ? "more than 99" : short_text(100.0 * wait.triggers, 2);
    std::string text = "It shows that in " +
                       data("arrive/wait_for/triggers", wait.triggers, share + " of 100 changes");
    if (wait.time_s) {
      text += ", in those after about " +
              data("arrive/wait_for/time/quantiles/0.5", (*wait.time_s)[1],
                   time_text((*wait.time_s)[1])) +
              ", mostly between " + html(time_text((*wait.time_s)[0])) + " and " +
              html(time_text((*wait.time_s)[2]));
    }
    return text + ".";
  }

  std::string by_burning() const {
    const decide::EnoughBurn& enough = guide_.arrive->enough;
    if (!enough.burn_l) return "no waiting is enough, since " + html(enough.reason) + ".";
    std::string text =
        "until " + data("arrive/enough/burn", *enough.burn_l, volume_text(*enough.burn_l, units_)) +
        " have been burned";
    if (enough.time_s) {
      text += ", about " + data("arrive/enough/time", *enough.time_s, time_text(*enough.time_s)) +
              " as planned";
    }
    return text + ".";
  }

  /// What a sensor that speaks against the plan shows.
  std::string on_the_wrong_side() const {
    const estimate::Arrival& arrival = guide_.arrive->arrival;
    return (arrival.side == Side::below ? "less than " : "more than ") +
           html(content_text(arrival.limit));
  }

  std::string change() const {
    std::string text = "Only then switch the calibration.";
    if (!guide_.arrive || guide_.arrive->wait_for.nothing_to_wait_for) return text;
    text +=
        " If a sensor still shows " + on_the_wrong_side() + ", do not switch: measure the fuel.";
    if (guide_.arrive->wait_for.reading && nearly_always(guide_.arrive->wait_for)) {
      text += " The same where it never gets to the reading above.";
    }
    return text;
  }

  const GuideView& view_;
  const scenario::Scenario& scenario_;
  const decide::Guide& guide_;
  UnitSystem units_;
};

}  // namespace

std::string guide_steps(const GuideView& view) {
  return Steps(view).section_text();
}

}  // namespace blendrisk::report
