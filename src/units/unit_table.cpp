#include "units/unit_table.hpp"

#include <algorithm>
#include <array>

namespace blendrisk::units {
namespace {

// Sources of the exact factors: NIST SP 811 and NIST Handbook 44 appendix C (from memory).
constexpr double k_gallon = 3.785411784;       // litres; 231 cubic inches
constexpr double k_imperial_gallon = 4.54609;  // litres
constexpr double k_mile = 1.609344;            // kilometres
constexpr double k_hour = 3600.0;              // seconds

constexpr auto k_units = std::to_array<Unit>({
    {Dimension::volume, "L", 1.0, "|l|litre|litres|liter|liters|"},
    {Dimension::volume, "mL", 1e-3, "|ml|millilitre|millilitres|milliliter|milliliters|"},
    {Dimension::volume, "gal", k_gallon, "|gal|gallon|gallons|us gal|us gallon|us gallons|", false,
     true},
    {Dimension::volume, "imp-gal", k_imperial_gallon,
     "|imp gal|imp gallon|imp gallons|imperial gallon|imperial gallons|"},
    {Dimension::content, "%", 0.01, "|%|percent|per cent|"},
    {Dimension::rate, "L/h", 1.0 / k_hour},
    {Dimension::rate, "mL/min", 1e-3 / 60.0},
    {Dimension::rate, "gal/h", k_gallon / k_hour, {}, false, true},
    {Dimension::time, "s", 1.0, "|s|sec|second|seconds|"},
    {Dimension::time, "min", 60.0, "|min|mins|minute|minutes|"},
    {Dimension::time, "h", k_hour, "|h|hr|hrs|hour|hours|"},
    {Dimension::distance, "km", 1.0, "|km|kilometre|kilometres|kilometer|kilometers|"},
    {Dimension::distance, "mi", k_mile, "|mi|mile|miles|", false, true},
    {Dimension::economy, "L/100km", 0.01},
    {Dimension::economy, "km/L", 1.0, {}, true},
    {Dimension::economy, "mpg", k_gallon / k_mile, "|mpg|", true},
    {Dimension::price, "/L", 1.0},
    {Dimension::price, "/gal", 1.0 / k_gallon},
});

}  // namespace

std::span<const Unit> all_units() {
  return k_units;
}

std::span<const Unit> units_of(Dimension dimension) {
  const Dimension wanted = dimension == Dimension::fraction ? Dimension::content : dimension;
  const auto is_wanted = [wanted](const Unit& unit) { return unit.dimension == wanted; };
  const auto first = std::find_if(k_units.begin(), k_units.end(), is_wanted);
  return {first, std::find_if_not(first, k_units.end(), is_wanted)};
}

}  // namespace blendrisk::units
