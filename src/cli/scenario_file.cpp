#include "cli/scenario_file.hpp"

#include <unistd.h>

#include <algorithm>
#include <iostream>

#include "cli/files.hpp"
#include "scenario/ini.hpp"
#include "scenario/quoting.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_largest_data = 64'000'000;

}  // namespace

ScenarioFile::ScenarioFile(const std::string& path) : path_(path) {
  try {
    text_ = read_bytes(path, scenario::k_largest_text);
  } catch (const FileError& error) {
    throw scenario::InputError(scenario::escaped(path) + ": " + error.what() +
                               "; a scenario file is accepted");
  }
}

scenario::Scenario ScenarioFile::read(const std::vector<scenario::Override>& overrides) const {
  const auto read_data = [this](const std::string& data_path) {
    const std::string shown = scenario::escaped(data_path);
    try {
      std::string text = read_bytes(path_beside(path_, data_path), k_largest_data);
      if (text.size() > k_largest_data) throw FileError("is larger than 64 MB");
      return text;
    } catch (const FileError& error) {
      throw FileError(shown + ": " + error.what() + "; a CSV file is accepted");
    }
  };
  return scenario::read({path_, text_}, overrides, read_data);
}

scenario::Scenario read_scenario(const Arguments& arguments) {
  return ScenarioFile(arguments.scenario_path).read(arguments.overrides);
}

ProgressLine::ProgressLine(std::ostream& err)
    : err_(err), wanted_(&err == &std::cerr && isatty(STDERR_FILENO) == 1) {}

ProgressLine::~ProgressLine() {
  if (shown_) err_ << "\r\x1b[K" << std::flush;
}

void ProgressLine::show(std::uint64_t done, std::uint64_t expected, const char* what) {
  const auto now = std::chrono::steady_clock::now();
  if (!wanted_ || now < next_) return;
  next_ = now + std::chrono::milliseconds(200);
  shown_ = true;
  constexpr std::uint64_t k_width = 24;
  const auto all = std::max<std::uint64_t>({done, expected, 1});
  const std::uint64_t filled = k_width * done / all;
  err_ << "\r\x1b[K[" << std::string(filled, '#') << std::string(k_width - filled, ' ') << "] "
       << 100 * done / all << " % of " << all << ' ' << what << std::flush;
}

}  // namespace blendrisk::cli
