#pragma once

#include <string>

#include "answer/shop_index.hpp"

namespace blendrisk::render {

/// The index as one HTML page, in the guides' style.
std::string shop_index(const answer::ShopIndex& index, answer::UnitSystem units);

}  // namespace blendrisk::render
