#include "cli/scenario_file.hpp"

#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <iostream>

#include "cli/files.hpp"
#include "scenario/ini.hpp"
#include "text/error.hpp"

namespace blendrisk::cli {
namespace {

constexpr const char* k_scenario_file = "a scenario file";
constexpr std::size_t k_largest_data = 64'000'000;
constexpr std::size_t k_largest_log = 256'000'000;

std::string text_of(const std::string& path, std::size_t most, const std::string& accepted) {
  return text::at(
      {path}, [&] { return read_bytes(path, most); }, accepted + " is accepted");
}

}  // namespace

FileLines lines_of_file(const std::string& path, const std::string& folder) {
  const std::string own = text_of(path, scenario::k_largest_text, k_scenario_file);
  bool includes = false;
  const auto read_include = [&](const std::string& included) {
    includes = true;
    const std::string found = folder.empty() ? path_beside(path, included) : included;
    const std::string name = std::filesystem::path(found).lexically_normal().string();
    return text::at({name}, [&] {
      return scenario::Source{name, read_bytes(name, scenario::k_largest_text)};
    });
  };
  FileLines lines{scenario::with_includes({path, own}, read_include, folder), own};
  if (includes) lines.text = scenario::ini_text(lines.entries);
  return lines;
}

scenario::ReadText data_beside(const std::string& beside,
                               std::map<std::string, std::string>* data) {
  return [beside, data](const std::string& data_path) {
    return text::at(
        {data_path},
        [&] {
          std::string text = read_bytes(path_beside(beside, data_path), k_largest_data);
          if (text.size() > k_largest_data) throw text::Error("is larger than 64 MB");
          if (data != nullptr) (*data)[data_path] = text;
          return text;
        },
        "a CSV file is accepted");
  };
}

ScenarioFile::ScenarioFile(const std::string& path) : path_(path), lines_(lines_of_file(path)) {}

scenario::Scenario ScenarioFile::read(const std::vector<scenario::Override>& overrides,
                                      std::map<std::string, std::string>* data) const {
  return scenario::read(path_, lines_.entries, overrides, data_beside(path_, data));
}

scenario::Scenario read_scenario(const Arguments& arguments) {
  return ScenarioFile(arguments.scenario_path).read(arguments.overrides);
}

bool has_number(const scenario::Key& key) {
  using scenario::Kind;
  return key.kind == Kind::gauge || key.kind == Kind::quantity || key.takes_law() ||
         key.kind == Kind::amount;
}

std::vector<scenario::Override> placed(std::vector<scenario::Override> overrides,
                                       const scenario::Axis& axis, std::size_t i) {
  if (!axis.values.empty()) overrides.push_back({axis.key, axis.values[i], true});
  return overrides;
}

std::string log_text(const std::string& path, const std::string& accepted,
                     const std::string& shorter) {
  std::string text = text_of(path, k_largest_log, accepted);
  if (text.size() <= k_largest_log) return text;
  throw text::Error("is larger than 256 MB", shorter + " accepted", {path});
}

std::string csv_log_text(const std::string& path) {
  return log_text(path, "a CSV file", "a shorter log is");
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
