#pragma once

#include "cli/command.hpp"

namespace blendrisk::cli {

/// `table` of every car with every pump. @throws Error
Answer answer_shop_table(const Call& call);

}  // namespace blendrisk::cli
