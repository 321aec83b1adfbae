#include "render/text_size.hpp"

#include <algorithm>
#include <array>

#include "answer/plain_text.hpp"
#include "text/utf8.hpp"

namespace blendrisk::render {
namespace {

/// Advance widths of the characters from space to tilde in thousandths of an em: the `hmtx` table
/// of DejaVu Sans 2.37, which is wider than most sans-serif fonts.
constexpr std::array<short, 95> k_advances{
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361,  318, 337, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632,
    575, 775, 752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635,  611, 732, 684, 989, 685,
    611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352,  635, 634, 278, 278, 579,
    278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592,  525, 636, 337, 636, 838};

double character_width(std::string_view character) {
  const auto first = static_cast<unsigned char>(character.front());
  if (first >= 0x20 && first < 0x7F) return 0.001 * k_advances[first - 0x20U];
  // Of other writing the width is not known: a full em a column but for marks, which have none.
  return 1.05 * static_cast<double>(answer::width(character)) /
         (answer::width(character) == 2 ? 1.5 : 1.0);
}

}  // namespace

double text_width(std::string_view text) {
  double total = 0.0;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = text::front(text.substr(at)).length;
    total += character_width(text.substr(at, length));
    at += length;
  }
  return total;
}

std::vector<std::string> lines_within(std::string_view text, double most) {
  const std::string clean = answer::cleaned(text);
  std::string_view rest = clean;
  std::vector<std::string> lines;
  while (!rest.empty()) {
    double used = 0.0;
    std::size_t cut = 0;
    std::size_t space = std::string_view::npos;  // the last that a line may end at
    while (cut < rest.size()) {
      const std::size_t length = text::front(rest.substr(cut)).length;
      used += character_width(rest.substr(cut, length));
      if (rest[cut] == ' ') {
        space = cut;
      } else if (used > most && cut > 0) {
        break;
      }
      cut += length;
    }
    if (cut < rest.size() && space != std::string_view::npos && space > 0) cut = space;
    lines.emplace_back(rest.substr(0, cut));
    while (lines.back().ends_with(' ')) lines.back().pop_back();
    rest.remove_prefix(cut);
    while (rest.starts_with(' ')) rest.remove_prefix(1);
  }
  return lines;
}

double widest(const std::vector<std::string>& lines) {
  double most = 0.0;
  for (const std::string& line : lines) most = std::max(most, text_width(line));
  return most;
}

}  // namespace blendrisk::render
