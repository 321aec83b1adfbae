#include "cli/command.hpp"

namespace blendrisk::cli {
namespace {

/// Lines that fit a terminal of 80 beside the margin of the manual page. One that begins with < is
/// of the way to high-ethanol fuel alone, one with > of the way back.
constexpr std::string_view k_starter =
    R"(<# A starter scenario for blendrisk.
># A starter scenario for blendrisk, the way back to gasoline.
# The car is invented; put your own in.
# Numbers without a source beside them are invented.
<# Run it with:  blendrisk chance car.ini
># Run it with:  blendrisk chance back.ini
# Every number has a unit; `blendrisk help keys` lists keys and units.
# Lines that begin with ; are not read: take it away where you want one.

<title = Invented sedan, gasoline to high-ethanol fuel
>title = Invented sedan, back to gasoline

[tank]
capacity = 60 L
# Total volume at which the nozzle shuts itself off; else the capacity.
click-off = normal(59 L, 0.8 L)
# Below this volume the pump draws air.
pickup-floor = 1.5 L

[heel]
# What the gauge says is left before the fill, as a volume or a share
<# such as 1/8 tank.
<indicated = 6 L
># such as 1/4 tank.
>indicated = 15 L
# Or, in place of it, the range left that the trip computer shows, the
# fuel use that it reckons with, and what is left when it shows nothing.
;distance-left = 40 km
;economy = 7.5 L/100km
;reserve = 3 L
# Or, still away from the pump, what the gauge shows here and how far
# it is; engine.economy says what the way burns.
<;now = 12 L
>;now = 21 L
;to-pump = normal(80 km, 3 km)
# How far the gauge may be off (true - indicated).
<# usually reads empty early (common practice, no source)
<gauge-error = normal(0.5 L, 1.2 L)
># a litre or two either way (common practice, no source)
>gauge-error = normal(0 L, 1.5 L)
# What the gauge can show: half of that either way besides its error.
<# a needle in eighths: 1/8 tank (common practice, no source)
<;gauge-step = 0.5 L
># a needle in eighths: 1/8 tank (common practice, no source)
>;gauge-step = 0.5 L
# Content of the old fuel.
<# E10: at most 10 % (ASTM D4814 and US EPA waivers, from memory)
<content = uniform(5 %, 10 %)
># sold as E85: ASTM D5798, 2011 and later (from memory)
>content = uniform(51 %, 83 %)
# Or, in place of it, what the content sensor shows of it; [sensor] says
# how far that may be off.
<;reading = 8 %
>;reading = 72 %

# The content sensor, for arrive and update, and for a reading of the
# old fuel.
;[sensor]
# What it shows less what is true, the same in all its readings.
# about 5 % either way, as two sd (common practice, no source)
;bias = normal(0 %, 2.5 %)
# Standard deviation from one look to the next, the step of its display,
# and its delay.
;noise = 0.3 %
;step = 0.5 %
;lag = 5 s

# How the tests of fuel in a log may be off, for verify.
;[tester]
# a tube read by eye tells 1 or 2 % (common practice, no source)
;bias = 0 %
;sd = 1 %
;step = 1 %

[fuel]
# The name of the pump, where a shop has several.
;title = North pump
<# What the pump delivers. Or by tests of this very fuel: content =
<# tests(72 %, 77 %)
<# limits: ASTM D5798, 2011 and later (from memory)
<content = normal(75 %, 4 %) in [51 %, 83 %]
># What the pump delivers: half the sampled gasolines held ethanol, half
># none (NREL/TP-5400-51863).
># E10: at most 10 % (ASTM D4814 and US EPA waivers, from memory)
>content = uniform(0 %, 10 %)
# How far the dispenser's figure may be from what it delivers.
# tolerance 0.3 % when new, 0.5 % in use, the first taken as sd (NIST
# Handbook 44 section 3.30, percentages from memory)
meter-error = normal(0 %, 0.3 %)
# The previous customer's fuel in the hose comes first.
# some tenths of a US gallon (common practice, no source)
hose-volume = uniform(0.5 L, 1.5 L)
<hose-content = 10 %  # E10: at most that (from memory)
># the last customer took E85: ASTM D5798 (from memory)
>hose-content = uniform(51 %, 83 %)
# Money per volume, only for what a margin costs.
;price = 0.98 EUR/L

[fill]
# click-off, or an amount on the dispenser such as 40 L.
amount = click-off
# Once it is done: what the dispenser showed in the end, and what ended
# the fill, click-off or hand.
;shown = 52.31 L
;stopped-by = click-off

# A second fill, on a later day; take away the ; of the whole section.
;[fill-2]
;title = North pump  # as in [fuel]
# Driven in between. Or, in its place, what the gauge shows then:
# indicated = 20 L
;burn-first = uniform(35 L, 42 L)
<;content = normal(75 %, 4 %) in [51 %, 83 %]  # as in [fuel]
<;hose-content = 10 %  # E10: at most that (from memory)
>;content = uniform(0 %, 10 %)  # as in [fuel]
># the last customer took E85: ASTM D5798 (from memory)
>;hose-content = uniform(51 %, 83 %)
;meter-error = normal(0 %, 0.3 %)
;hose-volume = uniform(0.5 L, 1.5 L)
;amount = click-off
# Once it is done, as in [fill]:
# shown = 38.64 L
# stopped-by = click-off

# The fuel line, for arrive and update. 6 to 8 mm inside and 3 to 5 m
# long hold 0.08 to 0.25 L, a filter stirs 0.1 to 0.3 L (common
# practice, no source).
;[line]
# Stirred at the pump, if it sits in a pot of its own.
;reservoir = 0 L
;pipe = normal(0.10 L, 0.01 L)
# laminar or plug
;pipe-flow = laminar
;filter = normal(0.10 L, 0.01 L)
# From the sensor to the injectors.
;beyond-sensor = normal(0.02 L, 0.005 L)
# Pumped round and back to the tank; 0 L/h where there is no return
# line.
;return-flow = 0 L/h
# What it holds before the fill; else as the old fuel in the tank.
<;content = uniform(5 %, 10 %)  # as in [heel]
>;content = uniform(51 %, 83 %)  # as in [heel]

# Fuel burned, for arrive and update.
;[engine]
# sedans on gasoline 0.61 to 1.48 L/h (US DOE, Fact #861)
;idle = normal(0.8 L/h, 0.1 L/h)
;gentle = uniform(3 L/h, 5 L/h)
# What the way to the pump burns, for heel.now.
;economy = normal(7.5 L/100km, 0.5 L/100km)
# What is driven after the fill; the last goes on.
;schedule = idle 10 min, gentle

;[before]
# What the calibration in use until the switch bears: arrive then tells
# how long neither fits.
;minimum = 0 %  # invented
<;maximum = 20 %  # invented
>;maximum = 85 %  # invented

[limits]
# The calibration's safe band: a minimum, a maximum, or both, as its
# makers say.
<# commonly held safe from 60 to 85 % (common practice, no source)
<minimum = 60 %
<;maximum = 85 %
># a gasoline calibration at light load (common practice, no source)
>maximum = 30 %
>;minimum = 0 %
# The chances of landing outside it and of running dry that you are
# willing to take; 1 in 100 is read, too.
accepted-risk = 1 %
dry-risk = 1 %

# What errs alike at all changes of one car, for policy: as a gauge errs
# where it stands on a float's arm (common practice, no source). All
# else is drawn anew at each change.
;[policy]
;persistent = heel.gauge-error, tank.click-off, sensor.bias

# Inputs that move together, by their rank correlation. This one goes
# with [fill-2].
;[correlation]
;fuel.content, fill-2.content = 0.8  # one supplier
)";

Answer answer_new(const Call& call) {
  const char other = call.arguments.back ? '<' : '>';
  std::string text;
  for (std::string_view rest = k_starter; !rest.empty();) {
    std::string_view line = rest.substr(0, rest.find('\n') + 1);
    rest.remove_prefix(line.size());
    if (line.front() == other) continue;
    if (line.front() == '<' || line.front() == '>') line.remove_prefix(1);
    text += line;
  }
  return {text};
}

}  // namespace

extern const Command k_new{
    .name = "new",
    .question = "print a commented starter scenario",
    .usage = "> car.ini\n--back > back.ini",
    .about =
        R"(Prints a commented starter scenario of an invented car. It runs as it is; put your own numbers in.
Every section is there; lines that begin with ; are not read until you take it away.
)",
    .options = "back",
    .answer = answer_new,
    .scenarios = Scenarios::none};

}  // namespace blendrisk::cli
