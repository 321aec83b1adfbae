#pragma once

#include <cstddef>

namespace blendrisk::models {

/// Memory of columns, kept by the thread that gave it back for the next that it asks for: a chance
/// takes no longer than the system does to hand out its pages and to take them back.
class SpareMemory {
 public:
  /// @return at least so many bytes, for any type
  static void* take(std::size_t bytes);
  static void give_back(void* memory, std::size_t bytes) noexcept;
};

/// The same for containers.
template <class T>
struct SpareAllocator {
  using value_type = T;

  SpareAllocator() = default;
  template <class Other>
  explicit(false) SpareAllocator(const SpareAllocator<Other>& /*other*/) noexcept {}

  T* allocate(std::size_t n) { return static_cast<T*>(SpareMemory::take(n * sizeof(T))); }
  void deallocate(T* memory, std::size_t n) noexcept {
    SpareMemory::give_back(memory, n * sizeof(T));
  }
  template <class Other>
  bool operator==(const SpareAllocator<Other>& /*other*/) const noexcept {
    return true;
  }
};

}  // namespace blendrisk::models
