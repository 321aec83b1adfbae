#pragma once

#include <optional>
#include <string>
#include <string_view>

/// Quantities as people write them, a number and a unit, turned into the program's inner units:
/// litres, fractions, seconds, litres per second, kilometres, litres per kilometre, money per
/// litre.
namespace blendrisk::units {

enum class Dimension { volume, content, fraction, rate, time, distance, economy, price, number };

/// What people read; what is read from them carries its unit.
enum class UnitSystem { metric, us };

/// The value of `text` ("4 L", "1.5gal", "78 %", "0.92 EUR/L") in inner units. White space around
/// and between is free; units are read in any spelling (spelling.hpp), and the currency of a price
/// is the user's; the number is read in the C locale.
/// The units and their factors: unit_table.cpp.
/// @param accepted  what an error says is accepted where it has no better advice; empty:
///   accepted_text(dimension)
/// @throws text::Error for a missing or wrong unit, no number, NaN, infinity or overflow, and for
///   the name of a fuel as a content.
double parse_quantity(std::string_view text, Dimension dimension, std::string_view accepted = {});

/// Whether `text` is E and a number, "E85", "e-10": a fuel sold by that name, whose content is a
/// range of its standard and not the number.
bool names_fuel(std::string_view text);

/// Whether the quantity is in a unit that counts the other way round, as distance per fuel burned
/// does: laws of it are no laws of the inner unit's of the same shape.
bool is_reciprocal(std::string_view text, Dimension dimension);

/// `value` of a unit of the dimension in inner units, the very bits that parse_quantity gives for
/// the two written together; the value itself for a dimension without units and an empty `unit`.
/// None where there is no such unit of the dimension, or the result is not finite.
std::optional<double> from_unit(double value, std::string_view unit, Dimension dimension);

/// The other way: `value` in inner units as so many of a unit of the dimension, which there is.
double in_unit(double value, std::string_view unit, Dimension dimension);

/// "a volume such as 4 L (L, mL, gal, imp-gal)": the tail of an error message.
std::string accepted_text(Dimension dimension);

/// "volume", "content", ...
std::string_view name(Dimension dimension);

/// The unit that quantities of a dimension are shown in; empty for plain numbers.
std::string_view display_unit(Dimension dimension, UnitSystem system);

}  // namespace blendrisk::units
