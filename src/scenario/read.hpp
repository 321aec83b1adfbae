#pragma once

#include <functional>
#include <string>
#include <vector>

#include "scenario/include.hpp"
#include "scenario/scenario.hpp"

/// Scenario text to Scenario. No files are opened here: the caller hands over texts.
namespace blendrisk::scenario {

/// A key given on the command line, which wins over the file.
struct Override {
  std::string key;
  std::string value;
  /// Along an axis: a plain quantity for an uncertain key moves its law there and keeps its shape.
  bool along_axis = false;
};

/// Gives the text of a data file named by measured("...") in the scenario; throws
/// text::Error where it cannot.
using ReadText = std::function<std::string(const std::string& path)>;

/// The checked scenario, of lines as in ini.hpp and the keys of keys.hpp.
/// @param read_include  as in include.hpp
/// @throws text::Error for anything malformed, unknown, repeated, missing or out of range.
Scenario read(const Source& source, const std::vector<Override>& overrides,
              const ReadText& read_text, const ReadInclude& read_include = {});

/// The same of entries, none of a key twice.
/// @param name  shown in errors of what is missing, and the title where none is given
Scenario read(const std::string& name, std::vector<Entry> entries,
              const std::vector<Override>& overrides, const ReadText& read_text);

}  // namespace blendrisk::scenario
