#pragma once

#include <functional>
#include <string_view>

#include "learn/shop_laws.hpp"
#include "scenario/scenario.hpp"

namespace blendrisk::learn {

/// A scenario of one fill with what the laws tell in place of what it says: fuel.content,
/// sensor.bias and sensor.noise, heel.gauge-error with tank.click-off and the correlation of the
/// two. What they do not tell stays.
/// @param stays  whether a key keeps the scenario's law, "heel.gauge-error"
scenario::Scenario with_laws(scenario::Scenario scenario, const ShopLaws& laws,
                             const std::function<bool(std::string_view)>& stays);

}  // namespace blendrisk::learn
