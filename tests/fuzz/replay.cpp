#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

// A fuzz target without a fuzzer, for any compiler: every file of a corpus, and mutations of them,
// the same ones every time. usage: replay_TARGET CORPUS_DIRECTORY MUTATIONS
namespace {

using Random = std::mt19937_64;

std::size_t below(Random& random, std::size_t end) {
  return end == 0 ? 0 : static_cast<std::size_t>(random() % end);
}

/// What breaks readers: ends, quotes, numbers at their edges, bytes that are not UTF-8, escapes.
const std::vector<std::string>& fragments() {
  static const std::vector<std::string> all{
      "\n",  ",",   ";",  ":",  "=",       "\"",   "'",    "`",  "#",        "(",           ")",
      "[",   "]",   "%",  "\\", "\x1b[2J", "L",    "0",    "-1", "1e308",    "1e-308",      "1e999",
      "nan", "inf", "\r", " ",  "\t",      "\xff", "\xc2", "\f", "\xc2\x9b", "\xe2\x80\xae"};
  return all;
}

void mutate(std::string& text, const std::string& other, Random& random) {
  const std::size_t at = below(random, text.size() + 1);
  const std::size_t length = 1 + below(random, 16);
  switch (random() % 6) {
    case 0:
      if (at < text.size()) text[at] = static_cast<char>(random() & 0xFFU);
      break;
    case 1:
      text.erase(at, length);
      break;
    case 2:
      text.insert(at, fragments()[below(random, fragments().size())]);
      break;
    case 3:
      text.insert(at, text.substr(below(random, text.size() + 1), length));
      break;
    case 4:
      text.replace(at, std::min(length, text.size() - at),
                   other.substr(below(random, other.size() + 1), length));
      break;
    default:
      text = text.substr(0, at) + other.substr(below(random, other.size() + 1));
  }
}

std::string last_input;

/// Writes the input that ends the process where it can be read.
void tell(int) {
  constexpr char head[] = "replay: ended by the input between the lines\n--------\n";
  constexpr char tail[] = "\n--------\n";
  (void)!::write(STDERR_FILENO, head, sizeof head - 1);
  (void)!::write(STDERR_FILENO, last_input.data(), last_input.size());
  (void)!::write(STDERR_FILENO, tail, sizeof tail - 1);
  std::_Exit(1);
}

void feed(const std::string& text) {
  last_input = text;
  // A copy of its very size, so that reading past its end is seen.
  const std::vector<std::uint8_t> bytes(text.begin(), text.end());
  LLVMFuzzerTestOneInput(bytes.data(), bytes.size());
}

std::vector<std::string> texts_in(const char* directory) {
  std::vector<std::filesystem::path> paths;
  for (const auto& entry : std::filesystem::directory_iterator(directory)) {
    paths.push_back(entry.path());
  }
  std::sort(paths.begin(), paths.end());
  std::vector<std::string> texts;
  for (const auto& path : paths) {
    std::ifstream file(path, std::ios::binary);
    texts.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
  }
  return texts;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) return 2;
  for (const int signal : {SIGILL, SIGTRAP, SIGABRT, SIGSEGV}) std::signal(signal, tell);
  const std::vector<std::string> texts = texts_in(argv[1]);
  const long mutations = std::strtol(argv[2], nullptr, 10);
  if (texts.empty() || mutations <= 0) {
    std::fprintf(stderr, "no corpus in %s, or no mutations\n", argv[1]);
    return 1;
  }
  feed("");
  for (const std::string& text : texts) feed(text);
  Random random(1);
  for (long i = 0; i < mutations; ++i) {
    std::string text = texts[below(random, texts.size())];
    const std::string& other = texts[below(random, texts.size())];
    for (std::size_t n = 1 + below(random, 4); n > 0; --n) mutate(text, other, random);
    feed(text);
  }
  std::printf("%zu files, %ld mutations\n", texts.size(), mutations);
  return 0;
}
