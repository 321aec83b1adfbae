#include "models/spare_memory.hpp"

#include <gtest/gtest.h>

#include <cstdint>
#include <cstring>
#include <thread>
#include <vector>

#include "models/columns.hpp"

namespace blendrisk::models {
namespace {

TEST(SpareMemory, GivesAgainWhatItGotBack) {
  constexpr std::size_t k_bytes = 40'008;  // a size that nothing else here asks for
  void* first = SpareMemory::take(k_bytes);
  std::memset(first, 1, k_bytes);
  void* beside = SpareMemory::take(k_bytes);
  EXPECT_NE(first, beside);
  SpareMemory::give_back(first, k_bytes);
  EXPECT_EQ(SpareMemory::take(k_bytes), first);
  // Another size is other memory.
  SpareMemory::give_back(first, k_bytes);
  void* other = SpareMemory::take(k_bytes + 8);
  EXPECT_NE(other, first);
  SpareMemory::give_back(other, k_bytes + 8);
  SpareMemory::give_back(beside, k_bytes);
}

TEST(SpareMemory, KeepsOnlySoManyAndSoLarge) {
  constexpr std::size_t k_large = std::size_t{3} << 20U;
  std::vector<void*> many;
  for (int i = 0; i < 100; ++i) many.push_back(SpareMemory::take(4096));
  for (void* memory : many) SpareMemory::give_back(memory, 4096);
  void* large = SpareMemory::take(k_large);
  std::memset(large, 1, k_large);
  SpareMemory::give_back(large, k_large);  // leak sanitizers see what is lost
}

TEST(SpareMemory, MayBeGivenBackByAnotherThread) {
  for (int round = 0; round < 20; ++round) {
    void* memory = SpareMemory::take(8192);
    std::jthread([memory] {
      std::memset(memory, 2, 8192);
      SpareMemory::give_back(memory, 8192);
    }).join();
  }
}

TEST(Columns, AreZeroWhereTheirMemoryWasUsedBefore) {
  for (int round = 0; round < 3; ++round) {
    Columns columns(57, 3);
    for (std::size_t c = 0; c < 3; ++c) {
      for (std::size_t i = 0; i < 57; ++i) {
        ASSERT_EQ(columns.column(c)[i], 0.0);
        columns.column(c)[i] = 1.0 + static_cast<double>(i);
      }
    }
  }
}

}  // namespace
}  // namespace blendrisk::models
