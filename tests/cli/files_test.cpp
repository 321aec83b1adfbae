#include "cli/files.hpp"

#include <gtest/gtest.h>
#include <sys/resource.h>

#include <csignal>
#include <filesystem>

#include "cli/interrupt.hpp"
#include "tests/cli/temporary_files.hpp"
#include "text/error.hpp"

namespace blendrisk::cli {
namespace {

using testing::TemporaryDirectory;

std::size_t files_in(const std::string& directory) {
  const std::filesystem::directory_iterator all(directory);
  return static_cast<std::size_t>(std::distance(begin(all), end(all)));
}

std::string failure(const std::string& path, const std::string& text) {
  try {
    write_output(path, text);
  } catch (const text::Error& error) {
    return error.wrong;
  }
  return "written";
}

TEST(WriteWhole, LeavesTheTextAndNothingElse) {
  const TemporaryDirectory directory;
  const std::string path = directory.write("a.csv", "old");
  const std::string text = std::string(3'000'000, 'x') + "\n";
  EXPECT_EQ(failure(path, text), "written");
  EXPECT_EQ(read_bytes(path, 4'000'000), text);
  EXPECT_EQ(files_in(directory.file("")), 1U);
}

TEST(WriteWhole, TakesAnyNameThatTheDiskTakes) {
  const TemporaryDirectory directory;
  // 255 bytes are the most, without room for what a temporary's name has more.
  const std::string path = directory.file(std::string(251, 'n') + ".csv");
  EXPECT_EQ(failure(path, "x"), "written");
  EXPECT_EQ(failure(directory.file(std::string(252, 'n') + ".csv"), "x"),
            "cannot be written (file name too long)");
  EXPECT_EQ(files_in(directory.file("")), 1U);
}

// Left by a process that was killed, or laid out as a trap: it is not written through.
TEST(WriteWhole, SparesWhatHasTheNameOfItsTemporary) {
  const TemporaryDirectory directory;
  const std::string path = directory.file("a.csv");
  const std::string precious = directory.write("precious", "as it was");
  std::filesystem::create_symlink(precious, path + ".part-" + std::to_string(getpid()));
  EXPECT_EQ(failure(path, "x"), "written");
  EXPECT_EQ(read_bytes(precious, 100), "as it was");
  EXPECT_EQ(read_bytes(path, 100), "x");
}

TEST(WriteWhole, PastALimitNothingIsLeft) {
  const TemporaryDirectory directory;
  const std::string path = directory.write("a.csv", "old");
  rlimit before{};
  ASSERT_EQ(getrlimit(RLIMIT_FSIZE, &before), 0);
  rlimit small = before;
  small.rlim_cur = 4096;
  void (*const action)(int) = std::signal(SIGXFSZ, SIG_IGN);  // as main does
  ASSERT_EQ(setrlimit(RLIMIT_FSIZE, &small), 0);
  const std::string said = failure(path, std::string(10'000, 'x'));
  setrlimit(RLIMIT_FSIZE, &before);
  std::signal(SIGXFSZ, action);
  EXPECT_EQ(said, "cannot be written (file too large)");
  EXPECT_EQ(read_bytes(path, 100), "old");
  EXPECT_EQ(files_in(directory.file("")), 1U);
}

TEST(RemovedOnSignal, TheFileGoesAndTheSignalEndsTheProgram) {
  const TemporaryDirectory directory;
  for (const int signal : {SIGINT, SIGTERM, SIGHUP, SIGPIPE}) {
    const std::string path = directory.write("half", "half");
    EXPECT_EXIT(
        {
          const RemovedOnSignal guard(path);
          ::raise(signal);
        },
        ::testing::KilledBySignal(signal), "");
    EXPECT_FALSE(std::filesystem::exists(path)) << signal;
  }
}

TEST(RemovedOnSignal, WhatWasIgnoredStaysIgnoredAndTheOldActionsComeBack) {
  const TemporaryDirectory directory;
  const std::string path = directory.write("half", "half");
  EXPECT_EXIT(
      {
        std::signal(SIGHUP, SIG_IGN);
        {
          const RemovedOnSignal guard(path);
          ::raise(SIGHUP);
        }
        std::exit(std::signal(SIGINT, SIG_IGN) == SIG_DFL ? 0 : 1);
      },
      ::testing::ExitedWithCode(0), "");
  EXPECT_TRUE(std::filesystem::exists(path));
}

}  // namespace
}  // namespace blendrisk::cli
