#include "cli/interrupt.hpp"

#include <atomic>
#include <stdexcept>

namespace blendrisk::cli {
namespace {

std::atomic<bool> asked{false};
static_assert(std::atomic<bool>::is_always_lock_free);

}  // namespace

InterruptGuard::InterruptGuard() : before_(std::signal(SIGINT, [](int) { asked = true; })) {}

InterruptGuard::~InterruptGuard() {
  std::signal(SIGINT, before_);
}

bool InterruptGuard::interrupted() {
  return asked;
}

void InterruptGuard::check() {
  if (asked) throw std::runtime_error("interrupted; nothing was written");
}

}  // namespace blendrisk::cli
