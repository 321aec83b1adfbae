#include <sstream>
#include <string>

#include "cli/command.hpp"
#include "cli/starter.hpp"

namespace blendrisk::cli {
namespace {

std::string head(bool back) {
  const std::string name = back ? "back.ini" : "car.ini";
  return "# A starter scenario for blendrisk" +
         std::string(back ? ", the way back to gasoline" : "") +
         R"(.
# The car is invented; put your own in.
# Numbers without a source beside them are invented.
# Run it with:  blendrisk chance )" +
         name + R"(
# Every number has a unit; `blendrisk help keys` lists keys and units.
# Lines that begin with ; are not read: take it away where you want one.

title = Invented sedan, )" +
         std::string(back ? "back to gasoline" : "gasoline to high-ethanol fuel") + "\n";
}

constexpr const char* k_new_tank = R"(
[tank]
capacity = 60 L
# Total volume at which the nozzle shuts itself off; else the capacity.
click-off = normal(59 L, 0.8 L)
# Below this volume the pump draws air.
pickup-floor = 1.5 L
)";

constexpr const char* k_new_range =
    R"(# Or, in place of it, the range left that the trip computer shows, the fuel use that it reckons
# with, and what is left when it shows nothing.
;distance-left = 40 km
;economy = 7.5 L/100km
;reserve = 3 L
# How far the gauge may be off (true - indicated).
)";

constexpr const char* k_new_heel = R"(
[heel]
# What the gauge says is left before the fill, as a volume or a share such as 1/8 tank.
indicated = 6 L
)";

constexpr const char* k_new_heel_end =
    R"(gauge-error = normal(0.5 L, 1.2 L)  # usually reads empty early (common practice, no source)
# Content of the old fuel.
content = uniform(5 %, 10 %)  # E10: at most 10 % (ASTM D4814 and US EPA waivers, from memory)
# Or, in place of it, what the content sensor shows of it; [sensor] says how far that may be off.
;reading = 8 %
)";

constexpr const char* k_new_heel_back = R"(
[heel]
# What the gauge says is left before the fill, as a volume or a share such as 1/4 tank.
indicated = 15 L
)";

constexpr const char* k_new_heel_back_end =
    R"(gauge-error = normal(0 L, 1.5 L)  # a litre or two either way (common practice, no source)
# Content of the old fuel.
content = uniform(51 %, 83 %)  # sold as E85: ASTM D5798, 2011 and later (from memory)
# Or, in place of it, what the content sensor shows of it; [sensor] says how far that may be off.
;reading = 72 %
)";

constexpr const char* k_new_sensor = R"(
# The content sensor, for arrive and update, and for a reading of the old fuel.
;[sensor]
# What it shows less what is true, the same in all its readings.
;bias = normal(0 %, 2.5 %)  # about 5 % either way, as two sd (common practice, no source)
# Standard deviation from one look to the next, the step of its display, and its delay.
;noise = 0.3 %
;step = 0.5 %
;lag = 5 s
)";

constexpr const char* k_new_fuel = R"(
[fuel]
# What the pump delivers. Or by tests of this very fuel: content = tests(72 %, 77 %)
content = normal(75 %, 4 %) in [51 %, 83 %]  # limits: ASTM D5798, 2011 and later (from memory)
)";

constexpr const char* k_new_fuel_back = R"(
[fuel]
# What the pump delivers: half the sampled gasolines held ethanol, half none (NREL/TP-5400-51863).
content = uniform(0 %, 10 %)  # E10: at most 10 % (ASTM D4814 and US EPA waivers, from memory)
)";

constexpr const char* k_new_meter =
    R"(# How far the dispenser's figure may be from what it delivers.
meter-error = normal(0 %, 0.3 %)  # tolerance 0.3 % when new, 0.5 % in use, the first taken as sd (NIST Handbook 44 section 3.30, percentages from memory)
# The previous customer's fuel in the hose comes first.
hose-volume = uniform(0.5 L, 1.5 L)  # some tenths of a US gallon (common practice, no source)
)";

constexpr const char* k_new_hose = "hose-content = 10 %  # E10: at most that (from memory)\n";
constexpr const char* k_new_hose_back =
    "hose-content = uniform(51 %, 83 %)  # the last customer took E85: ASTM D5798 (from memory)\n";

constexpr const char* k_new_fill = R"(# Money per volume, only for what a margin costs.
;price = 0.98 EUR/L

[fill]
# click-off, or an amount on the dispenser such as 40 L.
amount = click-off

# A second fill, on a later day; take away the ; of the whole section.
;[fill-2]
# Driven in between. Or, in its place, what the gauge shows then: indicated = 20 L
;burn-first = uniform(35 L, 42 L)
)";

constexpr const char* k_new_line = R"(;meter-error = normal(0 %, 0.3 %)
;hose-volume = uniform(0.5 L, 1.5 L)
;amount = click-off

# The fuel line, for arrive and update. 6 to 8 mm inside and 3 to 5 m long hold 0.08 to 0.25 L, a
# filter stirs 0.1 to 0.3 L (common practice, no source).
;[line]
# Stirred at the pump, if it sits in a pot of its own.
;reservoir = 0 L
;pipe = normal(0.10 L, 0.01 L)
# laminar or plug
;pipe-flow = laminar
;filter = normal(0.10 L, 0.01 L)
# From the sensor to the injectors.
;beyond-sensor = normal(0.02 L, 0.005 L)
# Pumped round and back to the tank; 0 L/h where there is no return line.
;return-flow = 0 L/h
# What it holds before the fill; else as the old fuel in the tank.
)";

constexpr const char* k_new_engine = R"(
# Fuel burned, for arrive and update.
;[engine]
;idle = normal(0.8 L/h, 0.1 L/h)  # sedans on gasoline 0.61 to 1.48 L/h (US DOE, Fact #861)
;gentle = uniform(3 L/h, 5 L/h)
# What is driven after the fill; the last goes on.
;schedule = idle 10 min, gentle
)";

constexpr const char* k_new_limits = R"(
[limits]
# The calibration's safe band: a minimum, a maximum, or both, as its makers say.
minimum = 60 %  # commonly held safe from 60 to 85 % (common practice, no source)
;maximum = 85 %
)";

constexpr const char* k_new_limits_back = R"(
[limits]
# The calibration's safe band: a minimum, a maximum, or both, as its makers say.
maximum = 30 %  # a gasoline calibration at light load (common practice, no source)
;minimum = 0 %
)";

constexpr const char* k_new_end =
    R"(# The chances of landing outside it and of running dry that you are willing to take; 1 in 100 is
# read, too.
accepted-risk = 1 %
dry-risk = 1 %

# Inputs that move together, by their rank correlation. This one goes with [fill-2].
;[correlation]
;fuel.content, fill-2.content = 0.8  # one supplier
)";

/// What fits a terminal of 80 beside the margin of the manual page.
constexpr std::size_t k_columns = 72;

/// Comments in lines that fit: what a line has too much goes before what the next one says, and a
/// long one beside a key goes above it.
class Narrow {
 public:
  void add(const std::string& line) {
    const std::size_t beside = line.find("  # ");
    if (line.starts_with("# ")) {
      comment_ += (comment_.empty() ? "" : " ") + line.substr(2);
      // A line that fits ends where it ends.
      if (comment_.size() + 2 <= k_columns) flush();
      return;
    }
    flush();
    if (line.size() > k_columns && beside != std::string::npos) {
      comment_ = line.substr(beside + 4);
      flush();
      text_ += line.substr(0, beside) + "\n";
    } else {
      text_ += line + "\n";
    }
  }

  std::string text() {
    flush();
    return text_;
  }

 private:
  void flush() {
    while (comment_.size() + 2 > k_columns) {
      const std::size_t end = comment_.rfind(' ', k_columns - 2);
      text_ += "# " + comment_.substr(0, end) + "\n";
      comment_.erase(0, end + 1);
    }
    if (!comment_.empty()) text_ += "# " + comment_ + "\n";
    comment_.clear();
  }

  std::string comment_, text_;
};

std::string narrow(const std::string& text) {
  Narrow lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.add(line);
  return lines.text();
}

Answer answer_new(const Call& call) {
  return {starter_scenario(call.arguments.back)};
}

}  // namespace

std::string starter_scenario(bool back) {
  const std::string pump = back ? "uniform(0 %, 10 %)" : "normal(75 %, 4 %) in [51 %, 83 %]";
  const std::string heel = back ? "uniform(51 %, 83 %)" : "uniform(5 %, 10 %)";
  const std::string hose = back ? k_new_hose_back : k_new_hose;
  return narrow(head(back) + k_new_tank + (back ? k_new_heel_back : k_new_heel) + k_new_range +
                (back ? k_new_heel_back_end : k_new_heel_end) + k_new_sensor +
                (back ? k_new_fuel_back : k_new_fuel) + k_new_meter + hose + k_new_fill +
                ";content = " + pump + "  # as in [fuel]\n;" + hose + k_new_line +
                ";content = " + heel + "  # as in [heel]\n" + k_new_engine +
                (back ? k_new_limits_back : k_new_limits) + k_new_end);
}

extern const Command k_new{
    .name = "new",
    .question = "print a commented starter scenario",
    .usage = "blendrisk new > car.ini\nblendrisk new --back > back.ini\n",
    .about =
        R"(Prints a commented starter scenario of an invented car. It runs as it is; put your own numbers in.
Every section is there; lines that begin with ; are not read until you take it away.
)",
    .options = "back",
    .answer = answer_new,
    .scenarios = Scenarios::none};

}  // namespace blendrisk::cli
