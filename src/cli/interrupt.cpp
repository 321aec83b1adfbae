#include "cli/interrupt.hpp"

#include <unistd.h>

#include <array>
#include <atomic>

#include "text/error.hpp"

namespace blendrisk::cli {
namespace {

std::atomic<bool> was_asked{false};
static_assert(std::atomic<bool>::is_always_lock_free);

/// Read by a signal handler, which may not look into a std::string.
std::string removed_path;
std::atomic<const char*> removed{nullptr};
static_assert(std::atomic<const char*>::is_always_lock_free);

constexpr std::array k_ending{SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGPIPE, SIGXCPU};

/// The signal has its usual effect as soon as this returns.
void remove_and_end(int signal) {
  if (const char* path = removed) ::unlink(path);
  ::raise(signal);
}

}  // namespace

InterruptGuard::InterruptGuard(const std::vector<int>& signals) {
  for (const int signal : signals) {
    const auto before = std::signal(signal, [](int) { was_asked = true; });
    // What is ignored, as under nohup, stays ignored; but an interrupt is always heard.
    if (before == SIG_IGN && signal != SIGINT) std::signal(signal, SIG_IGN);
    before_.push_back({signal, before});
  }
}

InterruptGuard::~InterruptGuard() {
  for (const Before& one : before_) std::signal(one.signal, one.action);
}

bool InterruptGuard::interrupted() {
  return was_asked;
}

void InterruptGuard::check() {
  if (was_asked)
    throw text::Error("interrupted", "nothing was written", {}, text::Fault::surroundings);
}

RemovedOnSignal::RemovedOnSignal(const std::string& path) {
  removed_path = path;
  removed = removed_path.c_str();
  for (const int signal : k_ending) {
    struct sigaction now {};
    now.sa_handler = remove_and_end;
    now.sa_flags = static_cast<int>(SA_RESETHAND);
    Before before{signal, {}};
    // What is ignored, as under nohup, stays ignored; what is caught already does not end us.
    if (::sigaction(signal, nullptr, &before.action) != 0 || before.action.sa_handler != SIG_DFL) {
      continue;
    }
    if (::sigaction(signal, &now, nullptr) == 0) before_.push_back(before);
  }
}

RemovedOnSignal::~RemovedOnSignal() {
  for (const Before& before : before_) ::sigaction(before.signal, &before.action, nullptr);
  removed = nullptr;
}

}  // namespace blendrisk::cli
