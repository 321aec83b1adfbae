#pragma once

#include <string>

#include "answer/verify.hpp"

namespace blendrisk::render {

/// The short caution as a comment, then one line a tested fill, as fractions: what was forecast of
/// it and how it came; of one that has no forecast the key that excludes it.
std::string verify_csv(const answer::VerifyView& view);

}  // namespace blendrisk::render
