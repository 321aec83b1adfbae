#pragma once

#include <string>

#include "estimate/methods.hpp"

namespace blendrisk::report {

/// "conditional", or "conditional and plain" where answers differ; empty where there is none.
std::string methods_text(const estimate::Methods& methods);

}  // namespace blendrisk::report
