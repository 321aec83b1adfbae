#pragma once

#include <string>
#include <string_view>

#include "estimate/result.hpp"
#include "scenario/known.hpp"

namespace blendrisk::report {

/// Widest label, in columns.
inline constexpr std::size_t k_label_columns = 34;

/// A scenario key in a few words: "heel.gauge-error" is "gauge error (true - indicated)". A key
/// that is not known is its own label.
std::string label(std::string_view key);

/// "heel.gauge-error was held at its physical bound in 1.2 % of cases".
std::string held_note(const estimate::Held& held);

/// "exact", "precision reached" or "budget spent".
std::string_view stop_word(estimate::Stop stop);

/// That so few measured values of an input bear no smaller chance, and what would.
std::string measured_note(const scenario::Measured& input);

}  // namespace blendrisk::report
