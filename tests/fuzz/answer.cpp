#include <sys/mman.h>
#include <unistd.h>

#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "cli/app.hpp"
#include "tests/fuzz/require.hpp"

namespace blendrisk::fuzz {
namespace {

/// A file without a name in any directory, that holds the scenario.
class NamelessFile {
 public:
  std::string path_of(const std::string& text) {
    require(fd_ >= 0 && ::ftruncate(fd_, 0) == 0);
    require(::pwrite(fd_, text.data(), text.size(), 0) == static_cast<ssize_t>(text.size()));
    return "/proc/self/fd/" + std::to_string(fd_);
  }

 private:
  int fd_ = ::memfd_create("fuzz", 0);
};

}  // namespace
}  // namespace blendrisk::fuzz

// Any scenario is answered or refused in one line, as text and as JSON, in a few cases. The first
// byte chooses command and options.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace blendrisk;
  if (size == 0 || size > 2000) return 0;
  const std::string all = fuzz::text_of(data + 1, size - 1);
  // Other files are out of bounds.
  if (all.find("measured") != std::string::npos) return 0;
  static fuzz::NamelessFile file;
  std::vector<std::string> words{(data[0] & 1U) != 0U ? "arrive" : "chance",
                                 file.path_of(all),
                                 "--threads",
                                 "1",
                                 "--cases",
                                 "64"};
  const bool json = (data[0] & 2U) != 0U;
  if (json) words.emplace_back("--json");
  if ((data[0] & 4U) != 0U) words.insert(words.end(), {"--method", "crude"});
  if ((data[0] & 8U) != 0U && !json) words.insert(words.end(), {"--units", "us"});
  std::istringstream in;
  std::ostringstream out;
  std::ostringstream err;
  const int status = cli::run(words, in, out, err);
  fuzz::require_printable(out.str(), true);
  fuzz::require_printable(err.str(), true);
  fuzz::require(status != cli::k_could_not_finish ||
                err.str().find("out of memory") == std::string::npos);
  if (status == cli::k_answered) {
    fuzz::require(!out.str().empty() && (!json || nlohmann::json::accept(out.str())));
  } else {
    fuzz::require(out.str().empty() && err.str().find('\n') == err.str().size() - 1);
  }
  return 0;
}
