#include "tests/source_dir.hpp"

namespace blendrisk::testing {

std::string source_dir() {
  return BLENDRISK_SOURCE_DIR;
}

}  // namespace blendrisk::testing
