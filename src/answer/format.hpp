#pragma once

#include <string>
#include <string_view>

#include "estimate/result.hpp"
#include "units/quantity.hpp"

/// Numbers as a reader wants them, the same in every locale. None of them writes "-0"; a number
/// that is not finite is "unknown".
namespace blendrisk::answer {

using units::UnitSystem;

/// `value` with `decimals` (0 to 17) digits after the point.
std::string fixed_text(double value, int decimals);

/// Shortest digits that read back as the same number; empty where it is not finite.
std::string exact_text(double value);

/// `value` rounded to `digits` (1 to 17) significant digits, as "0.0689", or as "6.89e-5" below
/// 0.0001 and from 1e15 on.
std::string significant_text(double value, int digits);

/// As significant_text, without zeros at the end of the decimals: "62.5", "1".
std::string short_text(double value, int digits = 4);

/// "4.5 L", or "1.19 gal" (US liquid gallons), to at most two decimals.
std::string volume_text(double litres, UnitSystem units);

/// What a dispenser shows: "43.20 L", "11.412 gal"; and a gauge or trip computer: "6.5 L", "1.7
/// gal".
std::string dispenser_text(double litres, UnitSystem units);
std::string gauge_text(double litres, UnitSystem units);

/// "12 km", "7 mi": whole ones.
std::string distance_text(double km, UnitSystem units);

/// "45 s", "12 min", "2 h 5 min", "unknown" where it is not finite; rounded to what it says.
std::string time_text(double seconds);

/// The steps of those displays [L]: 0.01 L or 0.001 gal, and 0.1 L or 0.1 gal.
double dispenser_step(UnitSystem units);
double gauge_step(UnitSystem units);

/// What burned fuel is told in [L]: 0.01 L or 0.01 gal.
double burn_step(UnitSystem units);

/// Every volume in a text as a user writes it ("normal(55 L, 500 mL)") in gallons, to four digits;
/// rates and economies stay.
std::string in_gallons(std::string_view text);

/// A fraction in percent, with `decimals` digits or as short as it goes: "73.40 %", "62.5 %".
std::string content_text(double fraction, int decimals);
std::string content_text(double fraction);

/// Significant digits, 1 to 6, of `chance` that its standard error supports: down to the place of
/// the error's first digit. 4 where the error is 0.
int supported_digits(double chance, double standard_error);

/// "2.73 % (1 in 37)", to the supported digits; "1 in N" below 5 %. Chances from 1e-300 to 1; one
/// below 1 is never rounded to 100 %.
std::string chance_percent(double chance, double standard_error);

/// "1 in 10 million": a chance from 1e-300 to below 1, to three digits.
std::string odds_text(double chance);

/// "below 0.0003 % (1 in 330000)": an upper bound in (0, 1), rounded up to two digits, N down.
std::string bound_percent(double bound);

/// chance_percent, or bound_percent of the interval's end where only that is known; a chance below
/// 1e-12, which no law is known so far out to support, only as that.
std::string estimate_text(const estimate::Estimate& estimate);

/// Whether estimate_text is a bound, which has no interval.
bool is_bound(const estimate::Estimate& estimate);

/// "2.70 to 2.75 %", to the digits of the estimate and at least two.
std::string interval_text(const estimate::Estimate& estimate);

}  // namespace blendrisk::answer
