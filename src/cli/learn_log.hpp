#pragma once

#include "cli/command.hpp"

namespace blendrisk::cli {

/// `learn --log`: laws from a shop's log. @throws text::Error
Answer answer_learn_log(const Call& call);

}  // namespace blendrisk::cli
