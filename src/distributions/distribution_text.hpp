#pragma once

#include <functional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "distributions/distribution.hpp"
#include "units/quantity.hpp"

/// Uncertain values as people write them: "4 L", "normal(78 %, 3 %) in [70 %, 90 %]".
namespace blendrisk::distributions {

/// Text that is no uncertain value. what() says what is wrong with it, `accepted` what would do.
struct TextError : std::invalid_argument {
  TextError(const std::string& wrong, std::string what_is_accepted)
      : std::invalid_argument(wrong), accepted(std::move(what_is_accepted)) {}
  std::string accepted;
};

/// Gives the values, in inner units, of one column of a data file.
using ReadColumn =
    std::function<std::vector<double>(const std::string& path, const std::string& column)>;

/// The law that `text` describes, in inner units: a quantity of `dimension`, or one of
/// exact(value), normal(mean, sd), uniform(low, high), triangular(low, peak, high),
/// trapezoidal(low, flat-from, flat-to, high), arcsine(low, high), beta(low, high, a, b),
/// student(center, scale, dof), tests(x1, x2, ...), measured("file", "column"); any of them
/// followed by "in [low, high]", which truncates it. a, b and dof are bare numbers, all others
/// quantities of `dimension`; sd and scale are differences.
/// @throws TextError for anything else, and whatever `read_column` throws.
Distribution parse_distribution(std::string_view text, units::Dimension dimension,
                                const ReadColumn& read_column);

/// A law as it is written, and what it says.
struct LawForm {
  std::string_view text;     ///< "normal(mean, sd)"
  std::string_view meaning;  ///< in a few words
};

/// All laws, in the order of the help.
std::vector<LawForm> law_forms();

/// The laws with their parameters, in one line: "exact(value), normal(mean, sd), ...".
std::string law_names_text();

}  // namespace blendrisk::distributions
