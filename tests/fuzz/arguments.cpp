#include <sstream>
#include <string>
#include <vector>

#include "cli/app.hpp"
#include "cli/command.hpp"
#include "tests/fuzz/require.hpp"
#include "text/error.hpp"
#include "text/quoting.hpp"

namespace blendrisk::fuzz {
namespace {

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
  const cli::Command* command = words.empty() ? nullptr : cli::find_command(words[0]);
  if (command != nullptr && command->scenarios != cli::Scenarios::none) {
    try {
      cli::parse_arguments(*command, {words.begin() + 1, words.end()});
      return 0;
    } catch (const text::Error& error) {
      fuzz::require_message(text::escaped(error.what()));
    }
  }
  // Completion may read the names at the head of a log.
  if (!words.empty() && words[0] == "complete-line") return 0;
  fuzz::run_with(words);
  return 0;
}
