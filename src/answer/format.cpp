#include "answer/format.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <string_view>

#include "answer/words.hpp"
#include "text/number.hpp"
#include "units/quantity.hpp"
#include "units/spelling.hpp"

namespace blendrisk::answer {
namespace {

using units::Dimension;

constexpr int k_most_digits = 17;

/// std::to_chars of a finite number; 308 digits before the point and 17 after fit.
std::string chars(double value, std::chars_format format, int precision) {
  std::array<char, 400> buffer{};
  const auto end =
      std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, format, precision);
  return {buffer.data(), end.ptr};
}

double parsed(std::string_view text) {
  double value = 0.0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

std::string without_end_zeros(std::string text) {
  if (text.find('.') == std::string::npos || text.find('e') != std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.ends_with('.')) text.pop_back();
  return text;
}

/// A number in scientific notation: mantissa text "-6.89" and exponent.
struct Scientific {
  std::string mantissa;
  int exponent;
};

Scientific scientific(double value, int digits) {
  const std::string text = chars(value, std::chars_format::scientific, digits - 1);
  const std::size_t e = text.find('e');
  // to_chars writes the sign of the exponent, from_chars takes no plus.
  const std::size_t from = text[e + 1] == '+' ? e + 2 : e + 1;
  int exponent = 0;
  std::from_chars(text.data() + from, text.data() + text.size(), exponent);
  return {text.substr(0, e), exponent};
}

/// A quantity as so many of the unit that it is shown in, and " " with its name.
struct Shown {
  double value;
  std::string unit;

  Shown(double inner, UnitSystem units, Dimension dimension = Dimension::volume) {
    const std::string_view name = units::display_unit(dimension, units);
    value = units::in_unit(inner, name, dimension);
    unit.append(" ").append(name);
  }
};

/// `gallons` or `litres`, whichever are shown, in litres.
double step(double gallons, double litres, UnitSystem units) {
  return units == UnitSystem::us ? *units::from_unit(gallons, "gal", Dimension::volume) : litres;
}

enum class Toward { up, down };

/// A positive `value` rounded to two significant digits in one direction.
double rounded(double value, Toward toward) {
  const Scientific s = scientific(value, 2);
  int tens = (s.mantissa[0] - '0') * 10 + (s.mantissa[2] - '0');
  const auto as_number = [&] {
    return parsed(std::to_string(tens) + "e" + std::to_string(s.exponent - 1));
  };
  if (toward == Toward::up && as_number() < value) ++tens;
  if (toward == Toward::down && as_number() > value) --tens;
  return as_number();
}

/// "1 in 1.45 million"; nothing where 1/chance overflows.
std::string one_in(double one_over, int digits) {
  if (!std::isfinite(one_over)) return {};
  struct Scale {
    double size;
    const char* id;
  };
  constexpr std::array<Scale, 3> scales{
      {{1e12, "odds.trillion"}, {1e9, "odds.billion"}, {1e6, "odds.million"}}};
  if (one_over < 1e15) {
    for (const Scale& scale : scales) {
      if (one_over >= scale.size) {
        return filled(words(scale.id), {short_text(one_over / scale.size, digits)});
      }
    }
  }
  std::string whole = significant_text(one_over, digits);
  if (one_over < 1e6 && whole.find('.') != std::string::npos) whole = fixed_text(one_over, 0);
  return filled(words("odds"), {whole});
}

std::string with_one_in(const std::string& percent, const std::string& odds) {
  return odds.empty() ? percent : filled(words("in_brackets"), {percent, odds});
}

constexpr double k_small = 0.05;
constexpr double k_beyond_laws = 1e-12;

/// The percent of a chance without its sign. What is not certain must not look so.
std::string percent_digits(double chance, int digits) {
  std::string text = significant_text(100.0 * chance, digits);
  while (chance < 1.0 && text.starts_with("100") && digits < k_most_digits) {
    text = significant_text(100.0 * chance, ++digits);
  }
  return chance == 1.0 ? "100" : text;
}

}  // namespace

std::string fixed_text(double value, int decimals) {
  if (!std::isfinite(value)) return "unknown"_w;
  std::string text = chars(value, std::chars_format::fixed, std::clamp(decimals, 0, k_most_digits));
  if (text.starts_with('-') && text.find_first_of("123456789") == std::string::npos) {
    text.erase(0, 1);
  }
  return text;
}

std::string exact_text(double value) {
  return std::isfinite(value) ? text::number_text(value) : std::string();
}

std::string significant_text(double value, int digits) {
  if (!std::isfinite(value)) return "unknown"_w;
  if (value == 0.0) return "0";
  digits = std::clamp(digits, 1, k_most_digits);
  const Scientific s = scientific(value, digits);
  std::string text = s.mantissa + "e" + std::to_string(s.exponent);
  if (s.exponent < -4 || s.exponent >= 15) return text;
  return fixed_text(parsed(text), std::max(0, digits - 1 - s.exponent));
}

std::string short_text(double value, int digits) {
  return without_end_zeros(significant_text(value, digits));
}

std::string volume_text(double litres, UnitSystem units) {
  const Shown shown(litres, units);
  return (std::abs(shown.value) < 0.1 ? short_text(shown.value, 2)
                                      : without_end_zeros(fixed_text(shown.value, 2))) +
         shown.unit;
}

std::string dispenser_text(double litres, UnitSystem units) {
  const Shown shown(litres, units);
  return fixed_text(shown.value, units == UnitSystem::us ? 3 : 2) + shown.unit;
}

std::string gauge_text(double litres, UnitSystem units) {
  const Shown shown(litres, units);
  return fixed_text(shown.value, 1) + shown.unit;
}

std::string distance_text(double km, UnitSystem units) {
  const Shown shown(km, units, Dimension::distance);
  return fixed_text(shown.value, 0) + shown.unit;
}

std::string time_text(double seconds) {
  if (!std::isfinite(seconds) || seconds > 1e9) return "unknown"_w;
  if (seconds < 90.0) return fixed_text(seconds, 0) + " s";
  const auto minutes = static_cast<long>(std::lround(seconds / 60.0));
  if (minutes < 10) return short_text(std::round(seconds / 6.0) / 10.0) + " min";
  if (minutes < 120) return std::to_string(minutes) + " min";
  const std::string rest = minutes % 60 == 0 ? "" : " " + std::to_string(minutes % 60) + " min";
  return std::to_string(minutes / 60) + " h" + rest;
}

double dispenser_step(UnitSystem units) {
  return step(0.001, 0.01, units);
}

double gauge_step(UnitSystem units) {
  return step(0.1, 0.1, units);
}

double burn_step(UnitSystem units) {
  return step(0.01, 0.01, units);
}

std::string in_gallons(std::string_view text) {
  const auto in_word = [](char c) {
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '/';
  };
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    double value = 0.0;
    const char* begin = text.data() + at;
    const bool inside = at > 0 && (in_word(text[at - 1]) || text[at - 1] == '.');
    const auto [end, error] = std::from_chars(begin, text.data() + text.size(), value);
    if (inside || error != std::errc()) {
      out += text[at++];
      continue;
    }
    auto after = static_cast<std::size_t>(end - text.data());
    const std::size_t number_end = after;
    while (after < text.size() && text[after] == ' ') ++after;
    std::size_t word_end = after;
    while (word_end < text.size() && (in_word(text[word_end]) || text[word_end] == '-')) ++word_end;
    const std::string_view unit = text.substr(after, word_end - after);
    const auto litres = units::from_unit(value, unit, Dimension::volume);
    const std::size_t next = std::min(text.find_first_not_of(' ', word_end), text.size());
    const bool goes_on =
        text.substr(next).starts_with('/') || text.substr(next).starts_with("per ");
    if (!litres || goes_on || units::spelled(unit) == "gal") {
      out += text.substr(at, number_end - at);
      at = number_end;
    } else {
      const Shown shown(*litres, UnitSystem::us);
      out += short_text(shown.value, 4) + shown.unit;
      at = word_end;
    }
  }
  return out;
}

std::string content_text(double fraction, int decimals) {
  return fixed_text(100.0 * fraction, decimals) + " %";
}

std::string content_text(double fraction) {
  return short_text(100.0 * fraction, 6) + " %";
}

int supported_digits(double chance, double standard_error) {
  if (!(chance > 0.0) || !(standard_error > 0.0) || !std::isfinite(chance)) return 4;
  if (!std::isfinite(standard_error)) return 1;
  const double places = std::floor(std::log10(chance)) - std::floor(std::log10(standard_error));
  return static_cast<int>(std::clamp(places + 1.0, 1.0, 6.0));
}

std::string chance_percent(double chance, double standard_error) {
  if (!std::isfinite(chance)) return "unknown"_w;
  const int digits = supported_digits(chance, standard_error);
  std::string percent = percent_digits(chance, digits) + " %";
  if (!(chance > 0.0) || chance >= k_small) return percent;
  return with_one_in(percent, one_in(1.0 / chance, std::min(digits, 3)));
}

std::string odds_text(double chance) {
  return one_in(1.0 / chance, 3);
}

std::string bound_percent(double bound) {
  if (!std::isfinite(bound) || bound >= 1.0) return "unknown"_w;
  if (!(bound > 0.0)) return "0 %";
  const double up = rounded(bound, Toward::up);
  if (up >= 1.0) return filled(words("bound"), {percent_digits(bound, 2) + " %"});
  const std::string percent = filled(words("bound"), {significant_text(100.0 * up, 2) + " %"});
  if (up >= k_small || !std::isfinite(1.0 / bound)) return percent;
  return with_one_in(percent, one_in(rounded(1.0 / bound, Toward::down), 2));
}

std::string estimate_text(const estimate::Estimate& estimate) {
  if (estimate.upper_bound_only) return bound_percent(estimate.interval[1]);
  if (estimate.chance > 0.0 && estimate.chance < k_beyond_laws) return bound_percent(k_beyond_laws);
  return chance_percent(estimate.chance, estimate.standard_error);
}

bool is_bound(const estimate::Estimate& estimate) {
  const double bound = estimate.interval[1];
  if (estimate.upper_bound_only) return bound > 0.0 && bound < 1.0;
  return estimate.chance > 0.0 && estimate.chance < k_beyond_laws;
}

std::string interval_text(const estimate::Estimate& estimate) {
  const auto end = [&](double value) {
    if (!std::isfinite(value)) return "unknown"_w;
    return percent_digits(value, std::max(2, supported_digits(value, estimate.standard_error)));
  };
  return filled(words("interval"), {end(estimate.interval[0]), end(estimate.interval[1])});
}

}  // namespace blendrisk::answer
