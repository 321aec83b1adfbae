#pragma once

#include "cli/command.hpp"
#include "decide/sweep.hpp"

namespace blendrisk::cli {

/// What --show asks of every cell of a table, with the step of its display.
decide::SweepRequest table_request(const Arguments& arguments);

/// `table` of every car with every pump. @throws Error
Answer answer_shop_table(const Call& call);

}  // namespace blendrisk::cli
