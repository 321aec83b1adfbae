#include "models/spare_memory.hpp"

#include <array>
#include <new>

namespace blendrisk::models {
namespace {

constexpr std::size_t k_most_blocks = 16;
constexpr std::size_t k_largest = std::size_t{1} << 20U;  ///< [bytes]; larger ones are not kept

struct Block {
  void* memory = nullptr;
  std::size_t bytes = 0;
};

class Kept {
 public:
  Kept() = default;
  Kept(const Kept&) = delete;
  Kept& operator=(const Kept&) = delete;
  ~Kept() {
    for (std::size_t i = 0; i < count_; ++i) ::operator delete(blocks_[i].memory);
    count_ = k_most_blocks;  // what comes back later is not kept
  }

  /// Of just that size: the same questions ask for the same sizes.
  void* take(std::size_t bytes) {
    for (std::size_t i = count_; i-- > 0;) {
      if (blocks_[i].bytes != bytes) continue;
      void* memory = blocks_[i].memory;
      blocks_[i] = blocks_[--count_];
      return memory;
    }
    return nullptr;
  }
  bool keep(const Block& block) {
    if (block.bytes > k_largest) return false;
    if (count_ == k_most_blocks) return false;
    blocks_[count_++] = block;
    return true;
  }

 private:
  std::array<Block, k_most_blocks> blocks_{};
  std::size_t count_ = 0;
};

thread_local Kept kept;

}  // namespace

void* SpareMemory::take(std::size_t bytes) {
  void* memory = kept.take(bytes);
  return memory != nullptr ? memory : ::operator new(bytes);
}

void SpareMemory::give_back(void* memory, std::size_t bytes) noexcept {
  if (!kept.keep({memory, bytes})) ::operator delete(memory);
}

}  // namespace blendrisk::models
