#include "report/written_text.hpp"

#include "report/cautions.hpp"
#include "report/plain_text.hpp"
#include "scenario/quoting.hpp"

namespace blendrisk::report {

std::string written_text(const std::string& path, const std::string& more) {
  return wrapped(scenario::escaped(path) + " is written.") + more + wrapped(k_short_caution);
}

}  // namespace blendrisk::report
