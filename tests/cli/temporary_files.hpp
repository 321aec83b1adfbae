#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "cli/app.hpp"
#include "tests/source_dir.hpp"

namespace blendrisk::cli::testing {

using blendrisk::testing::source_dir;

/// A directory of this process and test that goes away with the object.
class TemporaryDirectory {
 public:
  TemporaryDirectory() {
    const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
    path_ = std::filesystem::temp_directory_path() /
            ("blendrisk-" + std::string(info->test_suite_name()) + "-" + info->name() + "-" +
             std::to_string(getpid()));
    std::filesystem::create_directories(path_);
  }
  TemporaryDirectory(const TemporaryDirectory&) = delete;
  TemporaryDirectory& operator=(const TemporaryDirectory&) = delete;
  ~TemporaryDirectory() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }

  std::string file(const std::string& name) const { return (path_ / name).string(); }
  std::string write(const std::string& name, const std::string& text) const {
    std::ofstream(file(name), std::ios::binary) << text;
    return file(name);
  }

 private:
  std::filesystem::path path_;
};

inline std::string contents(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

struct Run {
  int status;
  std::string out, err;
};

inline Run run_with(const std::vector<std::string>& args, const std::string& input = "") {
  std::istringstream in(input);
  std::ostringstream out;
  std::ostringstream err;
  const int status = run(args, in, out, err);
  return {status, out.str(), err.str()};
}

/// What a command that has to answer prints.
inline std::string text_of(const std::vector<std::string>& args) {
  const Run run = run_with(args);
  EXPECT_EQ(run.status, k_answered) << run.err;
  return run.out;
}

inline nlohmann::json answer_of(std::vector<std::string> args) {
  args.emplace_back("--json");
  return nlohmann::json::parse(text_of(args));
}

/// Of a run that follows standard input: an answer a line.
inline std::vector<nlohmann::json> answers_of(const Run& run) {
  std::vector<nlohmann::json> answers;
  std::istringstream lines(run.out);
  for (std::string line; std::getline(lines, line);) answers.push_back(nlohmann::json::parse(line));
  return answers;
}

/// Refused in one line that holds `with`, and nothing on standard output.
inline void expect_refused(const std::vector<std::string>& args, const std::string& with,
                           const std::string& input = "") {
  const Run run = run_with(args, input);
  EXPECT_EQ(run.status, k_bad_input) << with;
  EXPECT_EQ(run.out, "");
  EXPECT_EQ(std::count(run.err.begin(), run.err.end(), '\n'), 1) << run.err;
  EXPECT_TRUE(run.err.starts_with("blendrisk: ")) << run.err;
  EXPECT_NE(run.err.find(with), std::string::npos) << run.err;
}

}  // namespace blendrisk::cli::testing
