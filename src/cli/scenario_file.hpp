#pragma once

#include <chrono>
#include <cstdint>
#include <iosfwd>
#include <map>

#include "cli/options.hpp"
#include "scenario/axis.hpp"
#include "scenario/keys.hpp"
#include "scenario/read.hpp"
#include "scenario/scenario.hpp"

namespace blendrisk::cli {

/// The lines of a scenario file and of all that it includes.
struct FileLines {
  std::vector<scenario::Entry> entries;
  std::string text;  ///< the file's own where it includes none, else one that holds all of them
};

/// @param folder  "cars/" as in scenario/include.hpp, then includes are found from here; empty:
/// beside the file
/// @throws text::Error where a file cannot be read or is no scenario
FileLines lines_of_file(const std::string& path, const std::string& folder = {});

/// Gives data files of a scenario. @param beside  the file that they are found from; empty: here
/// @param data  gets their texts by the names that the scenario calls them, where it is not null
scenario::ReadText data_beside(const std::string& beside, std::map<std::string, std::string>* data);

/// A scenario file, read once and made into scenarios with any overrides.
class ScenarioFile {
 public:
  /// @throws text::Error where it, or a file that it includes, cannot be read or is no scenario
  explicit ScenarioFile(const std::string& path);

  /// As FileLines has it.
  const std::string& text() const { return lines_.text; }
  const std::vector<scenario::Entry>& entries() const { return lines_.entries; }

  /// With its data files and the keys given beside it.
  /// @param data  gets the texts of the data files by the names that the scenario calls them
  /// @throws text::Error
  scenario::Scenario read(const std::vector<scenario::Override>& overrides,
                          std::map<std::string, std::string>* data = nullptr) const;

 private:
  std::string path_;
  FileLines lines_;
};

/// The scenario that the arguments name, with the keys given beside it.
/// @throws text::Error
scenario::Scenario read_scenario(const Arguments& arguments);

/// Whether the key's value is a number, so that it can be gone along.
bool has_number(const scenario::Key& key);

/// The keys with that of the axis at its i-th value; as they are where the axis has none.
std::vector<scenario::Override> placed(std::vector<scenario::Override> overrides,
                                       const scenario::Axis& axis, std::size_t i);

/// The text of a log. @param accepted  "a CSV file" @param shorter  "a shorter log"
/// @throws text::Error where it cannot be read or is too large
std::string log_text(const std::string& path, const std::string& accepted,
                     const std::string& shorter);

/// That of a CSV file.
std::string csv_log_text(const std::string& path);

/// Shows a bar of the share done on one line, and takes the line away in the end. Silent for the
/// first second and where standard error is no terminal.
class ProgressLine {
 public:
  explicit ProgressLine(std::ostream& err);
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;
  ~ProgressLine();

  /// @param what is counted, "evaluations"
  void show(std::uint64_t done, std::uint64_t expected, const char* what = "evaluations");

 private:
  std::ostream& err_;
  bool wanted_;
  bool shown_ = false;
  std::chrono::steady_clock::time_point next_ =
      std::chrono::steady_clock::now() + std::chrono::seconds(1);
};

}  // namespace blendrisk::cli
