#pragma once

#include "cli/command.hpp"

namespace blendrisk::cli {

/// `guide` of every car with every pump: one page each, and an index, in a new directory.
/// @throws Error; nothing is left then
Answer answer_shop_guides(const Call& call);

}  // namespace blendrisk::cli
