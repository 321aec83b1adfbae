#include "cli/pending_directory.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <optional>

#include "tests/cli/temporary_files.hpp"
#include "text/error.hpp"

namespace blendrisk::cli::pending_directory_test {
namespace {

namespace fs = std::filesystem;
using testing::contents;
using testing::TemporaryDirectory;

std::size_t entries_of(const std::string& directory) {
  return static_cast<std::size_t>(
      std::distance(fs::directory_iterator(directory), fs::directory_iterator()));
}

TEST(PendingDirectory, TakesItsPlaceWhenAllIsInIt) {
  const TemporaryDirectory files;
  {
    PendingDirectory pending(files.file("made/"));
    pending.write("a.txt", "a");
    EXPECT_FALSE(fs::exists(files.file("made")));
    pending.finish();
  }
  EXPECT_EQ(contents(files.file("made/a.txt")), "a");
  EXPECT_EQ(entries_of(files.file("")), 1U);
}

TEST(PendingDirectory, GoesAwayUnfinished) {
  const TemporaryDirectory files;
  {
    const PendingDirectory pending(files.file("made"));
    pending.write("a.txt", "a");
    EXPECT_EQ(entries_of(files.file("")), 1U);
  }
  EXPECT_EQ(entries_of(files.file("")), 0U);
}

TEST(PendingDirectory, TouchesNothingThatIsThere) {
  const TemporaryDirectory files;
  const std::string file = files.write("file", "mine");
  EXPECT_THROW(PendingDirectory{file}, text::Error);
  fs::create_directory(files.file("full"));
  files.write("full/mine", "mine");
  EXPECT_THROW(PendingDirectory{files.file("full")}, text::Error);
  EXPECT_EQ(contents(files.file("full/mine")), "mine");
  // What comes in the meantime is not taken away either.
  PendingDirectory late(files.file("late"));
  late.write("a.txt", "a");
  fs::create_directory(files.file("late"));
  files.write("late/mine", "mine");
  EXPECT_THROW(late.finish(), text::Error);
  EXPECT_EQ(contents(files.file("late/mine")), "mine");
}

TEST(PendingDirectory, AnEmptyOneIsReplaced) {
  const TemporaryDirectory files;
  fs::create_directory(files.file("empty"));
  PendingDirectory pending(files.file("empty"));
  pending.write("a.txt", "a");
  pending.finish();
  EXPECT_EQ(contents(files.file("empty/a.txt")), "a");
}

}  // namespace
}  // namespace blendrisk::cli::pending_directory_test
