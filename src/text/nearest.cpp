#include "text/nearest.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>

#include "text/letter_case.hpp"

namespace blendrisk::text {
namespace {

// Optimal string alignment distance, by rows of the usual table.
std::size_t distance(const std::string& a, const std::string& b) {
  std::vector<std::size_t> before(b.size() + 1);
  std::vector<std::size_t> last(b.size() + 1);
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) last[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = last[j - 1] + (a[i - 1] == b[j - 1] ? 0U : 1U);
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, replaced});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        row[j] = std::min(row[j], before[j - 2] + 1);
      }
    }
    std::swap(before, last);
    std::swap(last, row);
  }
  return last[b.size()];
}

}  // namespace

std::string nearest(std::string_view word, std::span<const std::string> known) {
  // Longer words are near nothing, and the table would grow with hostile input.
  constexpr std::size_t k_longest = 100;
  if (word.empty() || word.size() > k_longest) return {};
  const std::string wanted = in_lower_case(word);
  std::string best;
  std::size_t fewest = k_longest;
  for (const std::string& name : known) {
    const std::size_t edits = distance(wanted, in_lower_case(name));
    const std::size_t allowed = std::max<std::size_t>(1, std::max(wanted.size(), name.size()) / 3);
    if (edits <= allowed && edits < fewest && edits < name.size()) {
      fewest = edits;
      best = name;
    }
  }
  return best;
}

}  // namespace blendrisk::text
