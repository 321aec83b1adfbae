#pragma once

#include <span>
#include <string_view>

#include "distributions/distribution.hpp"

namespace blendrisk::distributions {

/// A law as it is written, and what it says.
struct Form {
  std::string_view text;     ///< "normal(mean, sd)"
  std::string_view meaning;  ///< in a few words
  /// One letter a parameter: p a place of the law, a quantity; w a width, a difference of two
  /// places; n a bare number. "p*": two places or more; "s*": each after its share and a colon.
  /// "column": the values of a column of a file.
  std::string_view parameters;
  Distribution (*make)(Values parameters);  ///< @throws text::Error

  std::string_view name() const { return text.substr(0, text.find('(')); }
};

/// All laws, in the order of the help: the one list of them.
std::span<const Form* const> forms();

}  // namespace blendrisk::distributions
