#pragma once

#include <string>
#include <string_view>
#include <vector>

/// A key with the values it takes along the side of a table or a curve.
namespace blendrisk::scenario {

struct Axis {
  std::string key;
  std::vector<std::string> values;  ///< as the key accepts them: "2 L"
};

/// The most values of one axis.
inline constexpr std::size_t k_most_values = 10'000;

/// "KEY=V1; V2; V3", each any text that the key accepts, or "KEY=FROM:TO:STEP", numbers whose unit
/// may stand after each or once ("2 L:20 L:1 L", "2:20:1L", "1/8:1/2:1/8 tank"); TO is taken where
/// a step reaches it. KEY in any case.
/// @param option the option's name, for errors
/// @throws text::Error
Axis parse_axis(std::string_view text, const std::string& option);

}  // namespace blendrisk::scenario
