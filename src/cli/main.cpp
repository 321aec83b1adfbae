#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <iostream>
#include <string>
#include <vector>

#include "cli/app.hpp"

namespace {

/// A standard stream that is closed would lend its number to the first file that is opened. It is
/// opened the wrong way round, so that using it still fails.
void hold_standard_streams() {
  for (const int fd : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
    if (::fcntl(fd, F_GETFD) >= 0 || errno != EBADF) continue;
    const int held = ::open("/dev/null", fd == STDIN_FILENO ? O_WRONLY : O_RDONLY);
    if (held < 0) return;
  }
}

}  // namespace

int main(int argc, char** argv) {
  hold_standard_streams();
  // A file that grows too large is then an error like a full disk.
  std::signal(SIGXFSZ, SIG_IGN);
  std::ios::sync_with_stdio(false);
  const std::vector<std::string> args(argv + (argc > 0 ? 1 : 0), argv + argc);
  return blendrisk::cli::run(args, std::cin, std::cout, std::cerr);
}
