#pragma once

#include <cstddef>
#include <stdexcept>
#include <string>

/// The one error that people see: input that cannot be used, or an answer that cannot be finished.
namespace blendrisk::text {

/// Where something is said.
struct Place {
  std::string source = {};  ///< a file, "--option", "standard input"; empty: nowhere in particular
  std::size_t line = 0;     ///< from 1; 0: none
  std::string key = {};     ///< a scenario's key or a column; empty: none
  std::string included_by = {};  ///< "car.ini:3", the line that took the file in; empty: none

  /// "car.ini:12: heel.indicated: ", "pump.ini:2 (included by car.ini:3): ", of the parts that
  /// there are, escaped.
  std::string head() const;
};

/// Whether what was given has to be mended, or what the program runs on (a full disk).
enum class Fault { input, surroundings };

/// what() is one line, `SOURCE:LINE: key: what is wrong; what is accepted`, without the parts that
/// are empty.
struct Error : std::runtime_error {
  explicit Error(std::string what_is_wrong, std::string what_is_accepted = {}, Place where = {},
                 Fault whose = Fault::input);
  std::string wrong, accepted;
  Place place;
  Fault fault;
};

/// The error as it looks from further out: what its place does not say is taken from `outer`, or
/// where it has a place elsewhere that stands behind `outer`; `accepted` where it does not say what
/// is.
Error seen_from(const Place& outer, const Error& error, const std::string& accepted = {});

/// act(); an Error that it throws is thrown as seen from there.
template <class Act>
decltype(auto) at(const Place& place, const Act& act, const std::string& accepted = {}) {
  try {
    return act();
  } catch (const Error& error) {
    throw seen_from(place, error, accepted);
  }
}

}  // namespace blendrisk::text
