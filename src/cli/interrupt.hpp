#pragma once

#include <csignal>
#include <string>
#include <vector>

namespace blendrisk::cli {

/// While it lives, an interrupt asks a computation to stop in place of ending the program, so that
/// nothing half done is left.
class InterruptGuard {
 public:
  /// @param signals  that ask for it
  explicit InterruptGuard(const std::vector<int>& signals = {SIGINT});
  InterruptGuard(const InterruptGuard&) = delete;
  InterruptGuard& operator=(const InterruptGuard&) = delete;
  ~InterruptGuard();

  static bool interrupted();
  /// @throws text::Error where it was asked for
  static void check();

 private:
  struct Before {
    int signal;
    void (*action)(int);
  };
  std::vector<Before> before_;
};

/// While it lives, a signal that ends the program removes a file first. One at a time.
class RemovedOnSignal {
 public:
  /// @param path  a file that may not be there yet or any more; no other process may make it
  explicit RemovedOnSignal(const std::string& path);
  RemovedOnSignal(const RemovedOnSignal&) = delete;
  RemovedOnSignal& operator=(const RemovedOnSignal&) = delete;
  ~RemovedOnSignal();

 private:
  struct Before {
    int signal;
    struct sigaction action;
  };
  std::vector<Before> before_;
};

}  // namespace blendrisk::cli
