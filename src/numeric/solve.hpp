#pragma once

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cstdint>
#include <optional>

/// Searching one number: the root of a rising function, the first step that will do.
namespace blendrisk::numeric {

/// An interval with the function's values at its ends.
struct Ends {
  double low = 0.0, high = 0.0;
  double at_low = 0.0, at_high = 0.0;

  double middle() const { return 0.5 * (low + high); }
};

/// An interval about the root of a rising f: from `ends` outward by `step`, then twice and four
/// times that and so on, within [least, most]. None where there is no root in there.
template <class F>
std::optional<Ends> bracketed(const F& f, Ends ends, double step, double least, double most) {
  for (double by = step; ends.at_low > 0.0; by *= 2.0) {
    if (ends.low <= least) return {};
    ends = {std::max(ends.low - by, least), ends.low, 0.0, ends.at_low};
    ends.at_low = f(ends.low);
  }
  for (double by = step; ends.at_high < 0.0; by *= 2.0) {
    if (ends.high >= most) return {};
    ends = {ends.high, std::min(ends.high + by, most), ends.at_high, 0.0};
    ends.at_high = f(ends.high);
  }
  return ends;
}

/// The same from the ends of [low, high].
template <class F>
std::optional<Ends> bracketed(const F& f, double low, double high, double step, double least,
                              double most) {
  return bracketed(f, {low, high, f(low), f(high)}, step, least, most);
}

/// The interval about the root of f narrowed until close(low, high), or in so many steps (G. E.
/// Alefeld, F. A. Potra and Y. Shi, algorithm 748, ACM Transactions on Mathematical Software 21,
/// 1995, by Boost.Math). @pre f is of either sign at the ends, or 0 at one
template <class F, class Close>
Ends root(const F& f, const Ends& ends, const Close& close, std::uintmax_t steps) {
  const auto [low, high] = boost::math::tools::toms748_solve(f, ends.low, ends.high, ends.at_low,
                                                             ends.at_high, close, steps);
  return {low, high};
}

/// The first step in (low, high] that will do, where one that does is followed by such alone, by
/// halving. @pre `high` does, `low` does not; neither is looked at
template <class Number, class Does>
Number first_step(Number low, Number high, const Does& does) {
  while (high - low > 1) {
    const Number middle = low + (high - low) / 2;
    (does(middle) ? high : low) = middle;
  }
  return high;
}

}  // namespace blendrisk::numeric
