#pragma once

#include <csignal>

namespace blendrisk::cli {

/// While it lives, an interrupt asks a computation to stop in place of ending the program, so that
/// nothing half done is left.
class InterruptGuard {
 public:
  InterruptGuard();
  InterruptGuard(const InterruptGuard&) = delete;
  InterruptGuard& operator=(const InterruptGuard&) = delete;
  ~InterruptGuard();

  static bool interrupted();
  /// @throws std::runtime_error where it was asked for
  static void check();

 private:
  void (*before_)(int);
};

}  // namespace blendrisk::cli
