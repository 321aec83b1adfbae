#pragma once

#include <functional>
#include <string>
#include <vector>

#include "scenario/ini.hpp"

/// One scenario of several texts: `include = PATH` above the first section takes in the lines of
/// another. A key that is given again wins over what was taken in; of two texts that are taken in
/// the later wins.
namespace blendrisk::scenario {

struct Source {
  std::string name;  ///< shown in errors
  std::string text;
};

/// Gives the text that an include names, by its path as seen from the scenario that includes first;
/// throws text::Error where it cannot, with a place or without.
using ReadInclude = std::function<Source(const std::string& path)>;

/// How many includes may lead to one another, and texts that one scenario takes in.
inline constexpr std::size_t k_deepest_include = 8;
inline constexpr std::size_t k_most_includes = 64;

/// The entries of a scenario with those of all that it includes, none of a key twice. Paths of
/// measured("...") in texts that are taken in are those seen from the scenario.
/// @param read_include  without one an include is refused
/// @param folder  "cars/": what paths in `source` are to be seen from in place of the scenario
/// @throws text::Error as parse_ini, naming the text and the line that included it; for includes
///   that come back to where they began, are too deep or too many
std::vector<Entry> with_includes(const Source& source, const ReadInclude& read_include,
                                 const std::string& folder = {});

/// Both, without those of `lower` that `upper` gives again or puts out of use.
std::vector<Entry> laid_over(std::vector<Entry> lower, const std::vector<Entry>& upper);

/// Keys that `key`, which wins over them, puts out of use: heel.reading beside heel.content. Beside
/// heel.now a reading at the pump is a second look, but readings along an axis are each in its
/// place.
std::vector<std::string> displaced_by(const std::string& key, bool along_axis = false);

/// The entries as the text of a scenario.
std::string ini_text(const std::vector<Entry>& entries);

/// The value of `key` among them, empty where it is not given.
std::string value_of(const std::vector<Entry>& entries, const std::string& key);

}  // namespace blendrisk::scenario
