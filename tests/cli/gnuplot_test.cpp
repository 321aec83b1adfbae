#include "cli/gnuplot.hpp"

#include <gtest/gtest.h>

#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <string>

#include "tests/cli/temporary_files.hpp"

namespace blendrisk::cli {
namespace {

using testing::TemporaryDirectory;

/// Puts a directory in front of the programs that are found, or in place of them.
class Path {
 public:
  explicit Path(const std::string& path) : before_(std::getenv("PATH")) {
    setenv("PATH", path.c_str(), 1);
  }
  Path(const Path&) = delete;
  Path& operator=(const Path&) = delete;
  ~Path() { setenv("PATH", before_.c_str(), 1); }

 private:
  std::string before_;
};

std::string failure(const std::string& script, std::chrono::seconds limit) {
  try {
    drawn(script, limit);
  } catch (const std::runtime_error& error) {
    return error.what();
  }
  return "no failure";
}

/// What is said where a shell script stands in for gnuplot.
std::string failure_of(const std::string& shell_script, std::size_t input = 10,
                       std::chrono::seconds limit = std::chrono::seconds(20)) {
  const TemporaryDirectory directory;
  const std::string file = directory.write("gnuplot", "#!/bin/sh\n" + shell_script + "\n");
  std::filesystem::permissions(file, std::filesystem::perms::owner_all);
  const Path path(std::filesystem::path(file).parent_path().string() + ":/usr/bin:/bin");
  return failure(std::string(input, '\n'), limit);
}

bool installed() {
  return std::system("command -v gnuplot >/dev/null 2>&1") == 0;  // NOLINT: a test's own question
}

TEST(Gnuplot, MissingIsSaid) {
  const Path path("/nonexistent");
  EXPECT_TRUE(failure("plot x", std::chrono::seconds(5)).starts_with("gnuplot is not installed"));
}

TEST(Gnuplot, DyingAndFailingAreSaidInOneLine) {
  // With more input than a pipe holds, too: it dies while we write.
  for (const std::size_t input : {std::size_t{10}, std::size_t{1'000'000}}) {
    EXPECT_TRUE(failure_of("kill -9 $$", input).starts_with("gnuplot died of signal 9"));
    const std::string what = failure_of("echo 'line 3: odd' >&2; exit 3", input);
    EXPECT_TRUE(what.starts_with("gnuplot failed (line 3: odd)")) << what;
    EXPECT_EQ(what.find('\n'), std::string::npos);
  }
  EXPECT_TRUE(failure_of("cat >/dev/null").starts_with("gnuplot drew nothing"));
}

// A full disk stops gnuplot's output, but not gnuplot.
TEST(Gnuplot, HalfAPictureIsNone) {
  for (const std::string head : {"<?xml version=\"1.0\"?><svg>", "%%PDF-1.5", "\\211PNG"}) {
    EXPECT_TRUE(failure_of("cat >/dev/null; printf '" + head + "'")
                    .starts_with("gnuplot drew only a part of the picture"))
        << head;
  }
}

TEST(Gnuplot, HangingIsEnded) {
  const auto start = std::chrono::steady_clock::now();
  for (const std::size_t input : {std::size_t{10}, std::size_t{1'000'000}}) {
    const std::string what = failure_of("exec sleep 60", input, std::chrono::seconds(1));
    EXPECT_TRUE(what.starts_with("gnuplot took longer than 1 s")) << what;
  }
  EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds(30));
}

TEST(Gnuplot, DrawsAllFormatsWhateverTheTextsSay) {
  if (!installed()) GTEST_SKIP() << "gnuplot is not installed";
  answer::Figure figure;
  figure.title = "a 'b' \"c\" `id` \\n {/Bold x}^2 %d <svg> & $HOME; system('true')\nplot x";
  figure.x = {figure.title, 0.0, 1.0, false, {{0.5, "50 % 'x'\n\"y\" `z` \\"}}};
  figure.y = {figure.title, 0.0, 2.0, false, answer::linear_ticks(0.0, 2.0)};
  figure.lines.push_back({{0.0, 1.0}, {0.5, 1.5}, {0.4, 1.2}, {0.6, 1.8}, figure.title});
  figure.levels.push_back({1.0, figure.title, false});
  figure.levels.push_back({0.5, figure.title, true});
  figure.marks.push_back({0.5, 1.0, figure.title});
  using render::PictureFormat;
  const std::string svg = drawn(render::gnuplot_script(figure, PictureFormat::svg));
  EXPECT_TRUE(svg.starts_with("<?xml")) << svg.substr(0, 60);
  EXPECT_NE(svg.find("</svg>"), std::string::npos);
  EXPECT_NE(svg.find("&lt;svg> &amp; $HOME; system("), std::string::npos);
  EXPECT_NE(svg.find("{/Bold x}^2"), std::string::npos);
  EXPECT_TRUE(drawn(render::gnuplot_script(figure, PictureFormat::png)).starts_with("\x89PNG"));
  EXPECT_TRUE(drawn(render::gnuplot_script(figure, PictureFormat::pdf)).starts_with("%PDF"));
}

// A doubled quote at the front is two strings to gnuplot, and "]]>" breaks XML.
TEST(Gnuplot, DrawsQuotesAndEndsOfMarkupAnywhere) {
  if (!installed()) GTEST_SKIP() << "gnuplot is not installed";
  for (const std::string text :
       {"'", "''", "'front", "back'", "''; system 'false'; '", "a ]]> b"}) {
    answer::Figure figure;
    figure.title = text;
    figure.x = {text, 0.0, 1.0, false, {{0.5, text}}};
    figure.y = {text, 0.0, 2.0, false, answer::linear_ticks(0.0, 2.0)};
    figure.lines.push_back({{0.0, 1.0}, {0.5, 1.5}, {}, {}, text});
    const std::string svg = drawn(render::gnuplot_script(figure, render::PictureFormat::svg));
    EXPECT_NE(svg.find("</svg>"), std::string::npos) << text;
    EXPECT_EQ(svg.find("]]>"), std::string::npos) << text;
  }
}

TEST(Gnuplot, FailureLeavesNoFile) {
  const TemporaryDirectory directory;
  const std::string scenario = directory.write("car.ini", testing::run_with({"new"}).out);
  const std::string picture = directory.write("old.svg", "as it was");
  const Path path("/nonexistent");
  const auto run = testing::run_with(
      {"curve", scenario, "--along", "heel.indicated=2:6:1L", "--output", picture});
  EXPECT_EQ(run.status, k_could_not_finish);
  EXPECT_EQ(run.out, "");
  EXPECT_TRUE(run.err.starts_with("blendrisk: could not finish: gnuplot is not installed"));
  EXPECT_EQ(std::distance(
                std::filesystem::directory_iterator(std::filesystem::path(picture).parent_path()),
                std::filesystem::directory_iterator()),
            2);
  // Data need no gnuplot.
  const auto data = testing::run_with(
      {"curve", scenario, "--along", "heel.indicated=2:6:1L", "--output", picture + ".csv"});
  EXPECT_EQ(data.status, k_answered) << data.err;
}

}  // namespace
}  // namespace blendrisk::cli
