#pragma once

#include <cstdint>
#include <initializer_list>

/// Random streams are named by what they are for, never by thread, so that an answer does not
/// depend on how the work was shared out.
namespace blendrisk::sampling {

enum class Purpose : std::uint64_t {
  tilt = 1,
  below,
  above,
  landed,
  run_dry,
  click_off,
  crude,
  rail,
  arrival,
  posterior,
  sensitivity,
  mixture,
  known,
  evidence,
  year,
  given_persistent,
  gaps
};

/// The rounds of an estimate count up from 0; these have numbers that none of them reaches.
inline constexpr std::uint64_t k_common_round = 1U << 20U;            ///< of all values of a search
inline constexpr std::uint64_t k_likelier_round = ~std::uint64_t{0};  ///< of looks at what to do

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

/// A stream, or a set of points with a key a dimension.
class Stream {
 public:
  /// @param which  one of those of a purpose: round, replicate, block, as many as tell it
  template <class... Which>
  constexpr Stream(std::uint64_t seed, Purpose purpose, Which... which)
      : key_(stream_key(
            {seed, static_cast<std::uint64_t>(purpose), static_cast<std::uint64_t>(which)...})) {}

  /// The same under every seed.
  static constexpr Stream of_any_seed(std::uint64_t key) { return Stream(key); }

  constexpr std::uint64_t key() const { return key_; }
  constexpr std::uint64_t of_dimension(std::uint64_t d) const { return key_ ^ mixed(d); }
  /// Of dimension d of one of many sets of points, by its number.
  constexpr std::uint64_t of_dimension_in(std::uint64_t set, std::uint64_t d) const {
    constexpr std::uint64_t k_apart = 96;  // more than the inputs of any scenario
    return of_dimension(set * k_apart + d);
  }
  /// The key of its part number i, which is a stream itself.
  constexpr std::uint64_t of_part(std::uint64_t i) const { return stream_key({key_, i}); }

 private:
  explicit constexpr Stream(std::uint64_t key) : key_(key) {}
  std::uint64_t key_;
};

/// Cases that tell whether a fill may leave nothing in the tank.
inline constexpr Stream k_emptying = Stream::of_any_seed(4096);

}  // namespace blendrisk::sampling
