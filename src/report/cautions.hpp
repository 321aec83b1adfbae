#pragma once

#include <array>
#include <string_view>

namespace blendrisk::report {

/// What every answer carries, one sentence or two each, in the order shown.
inline constexpr std::array<std::string_view, 7> k_cautions{
    "Fuel is flammable and its vapour travels: no flames or sparks, ventilate, and never drain, "
    "siphon or run down a tank in ways that the car's manual advises against.",
    "Right after a fill the engine still burns the old fuel of the line, whatever the tank holds.",
    "Never rely on a computed chance alone. A fuel-content sensor or a test of the fuel itself "
    "beats any estimate: read it before loading the engine.",
    "What content the engine bears, at which load, is for the makers of the car and of its "
    "calibration to say.",
    "The chances rest on the inputs given. A very small one rests on the far tails of their laws; "
    "read it as small, not as a count.",
    "A change of fuel or calibration can touch emissions and what local law allows; check both.",
    "For work on a customer's car, a licensed practice decides."};

/// One line of less than 100 ASCII characters, without commas, for where there is no room for
/// k_cautions: a picture's foot, a comment in a CSV, one answer of many.
inline constexpr std::string_view k_short_caution =
    "Never rely on a computed chance alone: test the fuel. "
    "The engine burns the line's old fuel first.";

}  // namespace blendrisk::report
