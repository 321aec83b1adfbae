#pragma once

#include <cstdint>
#include <initializer_list>

/// Random streams are named by what they are for, never by thread, so that an answer does not
/// depend on how the work was shared out.
namespace blendrisk::sampling {

enum class Purpose : std::uint64_t {
  lean = 1,
  below,
  above,
  landed,
  run_dry,
  click_off,
  plain,
  rail,
  arrival,
  posterior,
  sensitivity
};

/// SplitMix64's output function (Steele, Lea, Flood, OOPSLA 2014): a bijection that mixes all bits.
constexpr std::uint64_t mixed(std::uint64_t x) {
  x += 0x9e3779b97f4a7c15ULL;
  x = (x ^ (x >> 30U)) * 0xbf58476d1ce4e5b9ULL;
  x = (x ^ (x >> 27U)) * 0x94d049bb133111ebULL;
  return x ^ (x >> 31U);
}

/// A stream's key from its name (seed, purpose, indices): each part is mixed in, not added, so
/// that neighbouring names do not collide.
constexpr std::uint64_t stream_key(std::initializer_list<std::uint64_t> parts) {
  std::uint64_t key = 0x6a09e667f3bcc908ULL;
  for (const std::uint64_t part : parts) key = mixed(key ^ mixed(part));
  return key;
}

}  // namespace blendrisk::sampling
