#include "cli/commands.hpp"

namespace blendrisk::cli {
namespace {

constexpr const char* k_starter =
    R"(# A starter scenario for blendrisk. The car is invented; put your own in.
# Run it with:  blendrisk chance car.ini
# Every number has a unit; `blendrisk help keys` lists keys and units.

title = Invented sedan, gasoline to high-ethanol fuel

[tank]
capacity = 60 L
# Total volume at which the nozzle shuts itself off; else the capacity.
click-off = normal(59 L, 0.8 L)
# Below this volume the pump draws air.
pickup-floor = 1.5 L

[heel]
# What the gauge says is left before the fill, and how far it may be off.
indicated = 6 L
gauge-error = normal(0.5 L, 1.2 L)
# Content of the old fuel. Or what a sensor shows of it: reading = 12 %
content = uniform(5 %, 10 %)

[fuel]
# What the pump delivers. Or by tests of it: content = tests(72 %, 77 %)
content = normal(75 %, 4 %) in [51 %, 83 %]
# How far the dispenser's figure may be from what it delivers.
meter-error = normal(0 %, 0.3 %)
# The previous customer's fuel in the hose comes first.
hose-volume = 0.3 L
hose-content = 10 %

[fill]
# click-off, or an amount on the dispenser such as 40 L.
amount = click-off

[limits]
# The calibration's safe band: a minimum, a maximum, or both.
minimum = 60 %
# The chance of landing outside it that you are willing to take.
accepted-risk = 1 %
dry-risk = 1 %
)";

}  // namespace

Answer answer_new() {
  return {k_starter, 0};
}

}  // namespace blendrisk::cli
