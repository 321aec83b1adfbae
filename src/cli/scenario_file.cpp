#include "cli/scenario_file.hpp"

#include <unistd.h>

#include <algorithm>
#include <iostream>

#include "cli/files.hpp"
#include "scenario/ini.hpp"
#include "text/error.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_largest_data = 64'000'000;
constexpr std::size_t k_largest_log = 256'000'000;

std::string text_of(const std::string& path, std::size_t most, const std::string& accepted) {
  return text::at(
      {path}, [&] { return read_bytes(path, most); }, accepted + " is accepted");
}

}  // namespace

ScenarioFile::ScenarioFile(const std::string& path)
    : path_(path), text_(text_of(path, scenario::k_largest_text, "a scenario file")) {}

scenario::Scenario ScenarioFile::read(const std::vector<scenario::Override>& overrides,
                                      std::map<std::string, std::string>* data) const {
  const auto read_data = [this, data](const std::string& data_path) {
    const std::string accepted = "a CSV file is accepted";
    return text::at(
        {data_path},
        [&] {
          std::string text = read_bytes(path_beside(path_, data_path), k_largest_data);
          if (text.size() > k_largest_data) throw text::Error("is larger than 64 MB");
          if (data != nullptr) (*data)[data_path] = text;
          return text;
        },
        accepted);
  };
  return scenario::read({path_, text_}, overrides, read_data);
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
