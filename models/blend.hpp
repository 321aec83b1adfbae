#pragma once

#include <algorithm>

#include "numeric/target_clones.hpp"

/// Volume balance of a fuel change, one case at a time. Volumes in litres, contents as fractions.
/// Every function takes doubles or Eigen arrays of cases (one element a case): the same source.
/// Volumes are added as if ideal: the excess volume of ethanol in gasoline and thermal expansion
/// cancel from the content in first order (sizes in docs/method.md).
namespace blendrisk::models {

BLENDRISK_LANE double smaller(double a, double b) {
  return b < a ? b : a;
}
BLENDRISK_LANE double larger(double a, double b) {
  return a < b ? b : a;
}
BLENDRISK_LANE double where_positive(double condition, double yes, double no) {
  return condition > 0.0 ? yes : no;
}

/// The same for Eigen arrays (any type with members min, max and select).
template <class A>
A smaller(const A& a, const A& b) {
  return a.min(b);
}
template <class A>
A larger(const A& a, const A& b) {
  return a.max(b);
}
template <class A>
A where_positive(const A& condition, const A& yes, const A& no) {
  return (condition > 0.0).select(yes, no);
}

/// True heel: indicated + gauge error, held within [0, click-off] (before a later fill: within what
/// is in the tank, given in its place).
/// @param indicated_l what the gauge shows [L], >= 0   @param gauge_error_l true - indicated [L]
/// @param click_off_l total volume where the nozzle shuts off [L], >= 0
template <class T>
BLENDRISK_LANE T heel_volume(const T& indicated_l, const T& gauge_error_l, const T& click_off_l) {
  return smaller(larger(T(indicated_l + gauge_error_l), T(click_off_l * 0.0)), click_off_l);
}

/// True heel at the pump of a gauge that was read before driving there: indicated + gauge error −
/// distance × economy, held within [0, click-off].
/// @param indicated_l what the gauge showed there [L]   @param distance_km still to drive, >= 0
/// @param economy_l_per_km fuel burned on the way, > 0
template <class T>
BLENDRISK_LANE T heel_after_way(const T& indicated_l, const T& gauge_error_l, const T& distance_km,
                                const T& economy_l_per_km, const T& click_off_l) {
  return heel_volume(T(indicated_l - distance_km * economy_l_per_km), gauge_error_l, click_off_l);
}

/// Heel before a later fill: what the last one left less what was burned, held within
/// [0, click-off].
template <class T>
BLENDRISK_LANE T heel_after_burning(const T& total_l, const T& burned_l, const T& click_off_l) {
  return smaller(larger(T(total_l - burned_l), T(total_l * 0.0)), click_off_l);
}

/// The parts of a tank after a fill, as shares of the whole.
template <class T>
struct FillParts {
  T total_l;      ///< heel + added [L]
  T heel_share;   ///< of the whole; 1 where nothing is in the tank at all
  T hose_share;   ///< the previous customer's fuel, delivered first
  T fresh_share;  ///< this pump's fuel
  T short_l;      ///< ordered less what there is room for [L]; positive = the nozzle clicked off
};

/// A fill of `ordered_l` (infinite = to click-off): added A = min(ordered, click-off − heel), of
/// which the first min(hose, A) is the hose's old fuel.
/// @param ordered_l dispenser's amount × (1 + meter error) [L], >= 0
template <class T>
BLENDRISK_LANE FillParts<T> fill_parts(const T& heel_l, const T& ordered_l, const T& hose_l,
                                       const T& click_off_l) {
  const T zero = heel_l * 0.0;
  const T room = larger(T(click_off_l - heel_l), zero);
  const T added = smaller(ordered_l, room);
  const T hose = smaller(hose_l, added);
  const T total = heel_l + added;
  const T inverse = where_positive(total, T(1.0 / total), zero);
  return {total, T(where_positive(total, T(heel_l * inverse), T(zero + 1.0))), T(hose * inverse),
          T((added - hose) * inverse), T(ordered_l - room)};
}

/// Content after mixing: the shares' mean. Linear in each content, which is what estimation
/// conditions on.
template <class T>
BLENDRISK_LANE T mixed_content(const FillParts<T>& parts, const T& heel, const T& hose,
                               const T& fresh) {
  return parts.heel_share * heel + parts.hose_share * hose + parts.fresh_share * fresh;
}

/// Content of the old fuel from a reading before the fill: reading − bias, held within [0, 1].
template <class T>
BLENDRISK_LANE T content_from_reading(const T& reading, const T& bias) {
  const T zero = bias * 0.0;
  return smaller(larger(T(reading - bias), zero), T(zero + 1.0));
}

}  // namespace blendrisk::models
