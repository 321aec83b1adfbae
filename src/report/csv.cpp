#include "report/csv.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "report/cautions.hpp"

namespace blendrisk::report {

std::string csv_number(double value) {
  if (!std::isfinite(value)) return {};
  std::array<char, 40> digits{};
  char* end = std::to_chars(digits.data(), digits.data() + digits.size(), value + 0.0).ptr;
  return {digits.data(), end};
}

std::string csv_caution() {
  return "# " + std::string(k_short_caution) + "\n";
}

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + "\"";
}

}  // namespace blendrisk::report
