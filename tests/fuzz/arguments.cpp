#include <algorithm>
#include <array>
#include <sstream>
#include <string>
#include <vector>

#include "cli/app.hpp"
#include "cli/options.hpp"
#include "tests/fuzz/require.hpp"

namespace blendrisk::fuzz {
namespace {

constexpr std::array k_commands{"chance", "fill",    "heel",  "arrive", "update",
                                "table",  "drivers", "curve", "guide",  "learn"};

/// One word a line.
std::vector<std::string> words_of(const std::string& text) {
  std::vector<std::string> words;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) words.push_back(line);
  return words;
}

/// The whole program, where no file is named: its answer, or one line and nothing else.
void run_with(const std::vector<std::string>& words) {
  std::istringstream in;
  std::ostringstream out;
  std::ostringstream err;
  const int status = cli::run(words, in, out, err);
  if (status == cli::k_answered) {
    require(err.str().empty() && !out.str().empty());
    return require_printable(out.str(), true);
  }
  require(status == cli::k_bad_input && out.str().empty());
  const std::string said = err.str();
  require(said.starts_with("blendrisk: ") && said.ends_with('\n'));
  require_message(said.substr(0, said.size() - 1));
}

}  // namespace
}  // namespace blendrisk::fuzz

// Any words after the program's name are arguments or refused in one line. Nothing is read or
// written: commands are run only where their arguments are refused.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace blendrisk;
  if (size > 2000) return 0;
  const std::vector<std::string> words = fuzz::words_of(fuzz::text_of(data, size));
  const bool reads_files =
      !words.empty() && std::find(fuzz::k_commands.begin(), fuzz::k_commands.end(), words[0]) !=
                            fuzz::k_commands.end();
  if (reads_files) {
    try {
      cli::parse_arguments(words[0], {words.begin() + 1, words.end()});
      return 0;
    } catch (const cli::UsageError& error) {
      fuzz::require_message(scenario::escaped(error.what()));
    }
  }
  fuzz::run_with(words);
  return 0;
}
