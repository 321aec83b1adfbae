#pragma once

#include <string>

#include "answer/policy.hpp"

namespace blendrisk::render {

/// What to print on the wall: the short caution as a comment, then one
/// line a car and pump, litres and fractions. Where no amount does, the reason in place of the
/// amount.
std::string policy_csv(const answer::PolicyView& view);

}  // namespace blendrisk::render
