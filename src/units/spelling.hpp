#pragma once

#include <string>
#include <string_view>

/// Units as people spell them.
namespace blendrisk::units {

/// The unit by the name that quantities are documented with, whatever its case, in full or short,
/// with free spaces: "litres" is "L", "Liters / 100 KM" and "l per 100 km" are "L/100km", "US
/// gallons" "gal", "percent" "%". What is not known keeps its letters, and so does what may mean
/// two units (see may_be_mega).
std::string spelled(std::string_view unit);

/// Whether the case of a unit's M leaves open mega or milli: "ML", "Ml/min".
bool may_be_mega(std::string_view unit);

/// Whether it is the name of a volume, a time, a distance or a share, in any spelling.
bool is_unit_word(std::string_view word);

}  // namespace blendrisk::units
