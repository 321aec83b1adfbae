#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "distributions/distribution.hpp"
#include "units/quantity.hpp"

/// Uncertain values as people write them: "4 L", "normal(78 %, 3 %) in [70 %, 90 %]".
namespace blendrisk::distributions {

/// Gives the values, in inner units, of one column of a data file.
using ReadColumn =
    std::function<std::vector<double>(const std::string& path, const std::string& column)>;

/// The law that `text` describes, in inner units: a quantity of `dimension`, or one of the forms
/// of form.hpp, as normal(mean, sd); either may be followed by "in [low, high]", which truncates
/// it.
/// @throws text::Error for anything else, and whatever `read_column` throws.
Distribution parse_distribution(std::string_view text, units::Dimension dimension,
                                const ReadColumn& read_column);

/// The laws with their parameters, in one line: "exact(value), normal(mean, sd), ...".
std::string law_names_text();

}  // namespace blendrisk::distributions
