#pragma once

#include <span>
#include <string_view>

#include "units/quantity.hpp"

/// The one table of units, for reading and for showing.
namespace blendrisk::units {

/// A unit: inner = number * factor, or factor / number where the unit is the reciprocal.
struct Unit {
  Dimension dimension;
  std::string_view name;
  double factor;
  std::string_view spellings = {};  ///< in lower case, a bar on either side of each: "|l|litre|"
  bool reciprocal = false;
  bool us = false;  ///< what US units show in place of the customary one
};

/// All of them, those of a dimension together, the customary one first. A fraction has the units of
/// a content.
std::span<const Unit> all_units();
std::span<const Unit> units_of(Dimension dimension);

}  // namespace blendrisk::units
