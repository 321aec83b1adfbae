#pragma once

#include <array>
#include <string_view>

namespace blendrisk::report {

/// What every answer carries, one sentence or two each, in the order shown.
inline constexpr std::array<std::string_view, 6> k_cautions{
    "Fuel is flammable and its vapour travels: no flames or sparks, ventilate, and never drain or "
    "siphon a tank in ways that the car's manual advises against.",
    "What content the engine bears, at which load, is for the makers of the car and of its "
    "calibration to say.",
    "A fuel-content sensor or a test of the fuel itself beats any estimate: read it before loading "
    "the engine.",
    "The chances rest on the inputs given. A very small one rests on the far tails of their laws; "
    "read it as small, not as a count.",
    "A change of fuel or calibration can touch emissions and what local law allows; check both.",
    "For work on a customer's car, a licensed practice decides."};

}  // namespace blendrisk::report
