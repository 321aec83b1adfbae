#include "report/methods_text.hpp"

#include <utility>

namespace blendrisk::report {

std::string methods_text(const estimate::Methods& methods) {
  std::string text;
  for (const auto& [used, word] :
       {std::pair{methods.exact, "exact"}, std::pair{methods.conditional, "conditional"},
        std::pair{methods.points, "points"}, std::pair{methods.plain, "plain"}}) {
    if (used) text.append(text.empty() ? "" : " and ").append(word);
  }
  return text;
}

}  // namespace blendrisk::report
