#pragma once

#include <algorithm>
#include <cmath>
#include <random>
#include <string>

/// Invented plans at random, as text of scenarios: the same from a seed on every machine.
namespace blendrisk::testing {

enum class Limits { minimum, maximum, both };

class RandomPlans {
 public:
  explicit RandomPlans(unsigned seed) : engine_(seed) {}

  /// A plan whose limits lie about what some amount of its pump lands at. Up to high-ethanol fuel
  /// or back, by what `limits` is; both ways where it is both.
  std::string next(Limits limits) {
    const bool up = limits == Limits::minimum || (limits == Limits::both && chance(0.6));
    const double tank = between(35.0, 90.0);
    const double heel = tank * between(0.03, 0.3);
    const double old_fuel = up ? between(0.05, 0.2) : between(0.6, 0.8);
    const double pump = up ? between(0.7, 0.85) : between(0.05, 0.12);
    const double share = between(0.15, 1.0);  // of the room, put in
    const double amount = share * (tank - heel);
    const double landed = (heel * old_fuel + amount * pump) / (heel + amount);
    std::string text = "title = Invented plan\n[tank]\ncapacity = " + litres(tank);
    if (chance(0.7)) text += "click-off = " + law({tank, tank}, {0.004 * tank, 0.02 * tank}, " L");
    if (chance(0.7)) text += "pickup-floor = " + litres(heel * between(0.1, 1.1));
    text += "[heel]\nindicated = " + litres(chance(0.5) ? heel : std::round(10.0 * heel) / 10.0);
    if (chance(0.8)) text += "gauge-error = " + law({-0.4, 0.4}, {0.2, 2.0}, " L");
    text += "content = " + law({100.0 * old_fuel, 100.0 * old_fuel}, {0.2, 2.0}, " %");
    text +=
        "[fuel]\ncontent = " + (chance(0.15) ? std::to_string(100.0 * pump) + " %\n"
                                             : law({100.0 * pump, 100.0 * pump}, {0.3, 5.0}, " %"));
    if (chance(0.5)) text += "meter-error = " + law({-0.2, 0.2}, {0.1, 1.0}, " %");
    if (chance(0.4)) {
      text += "hose-volume = " + law({0.6, 1.2}, {0.1, 0.5}, " L");
      text += "hose-content = " + law({8.0, 8.0}, {0.5, 4.0}, " %");
    }
    if (chance(0.3)) text += "price = " + std::to_string(between(0.5, 3.0)) + " /L\n";
    if (chance(0.5)) text += "[fill]\namount = " + litres(amount * between(0.9, 1.1));
    if (chance(0.25)) text += line();
    text += "[limits]\n";
    const double below = between(0.3, 6.0);
    const double above = between(0.3, 6.0);
    if (limits != Limits::maximum) text += "minimum = " + percent(100.0 * landed - below);
    if (limits != Limits::minimum) text += "maximum = " + percent(100.0 * landed + above);
    return text + "accepted-risk = " + percent(100.0 * logarithmic(0.001, 0.2)) +
           "dry-risk = " + percent(100.0 * logarithmic(0.002, 0.1));
  }

 private:
  double unit() { return static_cast<double>(engine_() >> 11U) * 0x1p-53; }
  double between(double a, double b) { return a + (b - a) * unit(); }
  double logarithmic(double a, double b) { return std::exp(between(std::log(a), std::log(b))); }
  bool chance(double share) { return unit() < share; }

  static std::string litres(double value) { return std::to_string(value) + " L\n"; }
  static std::string percent(double value) {
    return std::to_string(std::clamp(value, 0.1, 99.9)) + " %\n";
  }

  struct Range {
    double low, high;
  };
  /// About a value of `about`, mostly within one of `reach` of it; drawn in this order, which
  /// arguments of a call have none of.
  std::string law(Range about, Range reach, const std::string& unit_text) {
    const double middle = between(about.low, about.high);
    const double half = between(reach.low, reach.high);
    const auto q = [&](double value) { return std::to_string(value) + unit_text; };
    const double a = middle - half;
    const double b = middle + half;
    switch (static_cast<int>(between(0.0, 5.0))) {
      case 0:
        return "uniform(" + q(a) + ", " + q(b) + ")\n";
      case 1:
        return "triangular(" + q(a) + ", " + q(between(a, b)) + ", " + q(b) + ")\n";
      case 2:
        return "normal(" + q(middle) + ", " + q(half / 2.0) + ") in [" + q(a - 0.4 * half) + ", " +
               q(b) + "]\n";
      default:
        return "normal(" + q(middle) + ", " + q(half / 2.5) + ")\n";
    }
  }

  std::string line() {
    std::string text = "[sensor]\n";
    if (chance(0.7)) text += "bias = normal(0 %, " + std::to_string(between(0.3, 2.0)) + " %)\n";
    text += "noise = " + percent(between(0.2, 1.0));
    text += "[line]\nfilter = " + law({0.1, 0.5}, {0.05, 0.05}, " L");
    if (chance(0.5)) text += "beyond-sensor = " + law({0.05, 0.2}, {0.02, 0.02}, " L");
    return text + "[engine]\nidle = normal(1 L/h, 0.1 L/h)\n";
  }

  std::mt19937_64 engine_;
};

}  // namespace blendrisk::testing
