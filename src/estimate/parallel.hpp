#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <thread>
#include <vector>

namespace blendrisk::estimate {

/// The number of threads meant: 0 is as many as the machine has.
inline unsigned thread_count(unsigned wanted) {
  return wanted != 0 ? wanted : std::max(1U, std::thread::hardware_concurrency());
}

/// Runs worker(unit) for every unit in [0, units), each once, on up to `threads` threads;
/// make_worker() makes one callable a thread, with working space of its own. Units are handed out
/// as threads come free, so a unit's result must depend on its number alone. One thread: all runs
/// in the caller's. An exception ends the work and is thrown on; of several, that of the lowest
/// unit, so that it is the same on any number of threads.
template <class MakeWorker>
void in_parallel(std::size_t units, unsigned threads, const MakeWorker& make_worker) {
  const auto useful = static_cast<unsigned>(std::min<std::size_t>(thread_count(threads), units));
  if (useful <= 1) {
    auto worker = make_worker();
    for (std::size_t unit = 0; unit < units; ++unit) worker(unit);
    return;
  }
  std::atomic<std::size_t> next{0};
  struct Failure {
    std::size_t unit = 0;
    std::exception_ptr what;
  };
  std::vector<Failure> failures(useful);
  // All units below one that fails have been handed out by then.
  const auto run = [&](unsigned self) {
    std::size_t unit = 0;
    try {
      auto worker = make_worker();
      for (unit = next++; unit < units; unit = next++) worker(unit);
    } catch (...) {
      failures[self] = {unit, std::current_exception()};
      next = units;
    }
  };
  {
    std::vector<std::jthread> others;
    others.reserve(useful - 1);
    for (unsigned self = 1; self < useful; ++self) others.emplace_back(run, self);
    run(0);
  }
  std::erase_if(failures, [](const Failure& failure) { return !failure.what; });
  if (failures.empty()) return;
  std::rethrow_exception(std::ranges::min_element(failures, {}, &Failure::unit)->what);
}

}  // namespace blendrisk::estimate
