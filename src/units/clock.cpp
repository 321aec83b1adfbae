#include "units/clock.hpp"

#include <charconv>
#include <chrono>
#include <cstddef>
#include <string>

#include "text/trimmed.hpp"

namespace blendrisk::units {
namespace {

bool all_digits(std::string_view text) {
  return text.find_first_not_of("0123456789") == std::string_view::npos;
}

double number(std::string_view text) {
  double value = 0.0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

/// "07", or as the last part "07.25".
std::optional<double> sixtieths(std::string_view part, bool last) {
  const std::string_view whole = part.substr(0, last ? part.find('.') : part.size());
  const std::string_view fraction = part.substr(whole.size());
  if (whole.size() != 2 || !all_digits(whole) || whole[0] > '5') return std::nullopt;
  if (!fraction.empty() && (fraction.size() < 2 || !all_digits(fraction.substr(1)))) {
    return std::nullopt;
  }
  return number(part);
}

constexpr std::size_t k_date = 10;

/// The day of "2026-11-27", since 1970-01-01. @param date  k_date characters
std::optional<long> day_of(std::string_view date) {
  const std::string_view year = date.substr(0, 4);
  const std::string_view month = date.substr(5, 2);
  const std::string_view day = date.substr(8, 2);
  if (date[4] != '-' || date[7] != '-') return std::nullopt;
  if (!all_digits(year) || !all_digits(month) || !all_digits(day)) return std::nullopt;
  const std::chrono::year_month_day on{std::chrono::year(static_cast<int>(number(year))),
                                       std::chrono::month(static_cast<unsigned>(number(month))),
                                       std::chrono::day(static_cast<unsigned>(number(day)))};
  if (!on.ok()) return std::nullopt;
  return std::chrono::sys_days(on).time_since_epoch().count();
}

}  // namespace

std::optional<double> clock_seconds(std::string_view text) {
  text = text::trimmed(text, text::k_any_white);
  const bool negative = text.starts_with('-');
  if (negative) text.remove_prefix(1);
  constexpr std::size_t k_longest = 20;
  std::size_t colon = text.find(':');
  if (text.size() > k_longest || colon == 0 || colon == std::string_view::npos) {
    return std::nullopt;
  }
  if (!all_digits(text.substr(0, colon))) return std::nullopt;
  double value = number(text.substr(0, colon));
  for (int parts = 1; colon != std::string_view::npos; ++parts) {
    if (parts == 3) return std::nullopt;
    text.remove_prefix(colon + 1);
    colon = text.find(':');
    const auto part = sixtieths(text.substr(0, colon), colon == std::string_view::npos);
    if (!part) return std::nullopt;
    value = 60.0 * value + *part;
  }
  return negative ? -value : value;
}

std::optional<ClockTime> clock_time(std::string_view text) {
  text = text::trimmed(text, text::k_any_white);
  ClockTime time;
  if (text.size() > k_date && (text[k_date] == ' ' || text[k_date] == 'T')) {
    time.day = day_of(text.substr(0, k_date));
    if (!time.day) return std::nullopt;
    text.remove_prefix(k_date + 1);
  }
  const std::size_t colon = text.find(':');
  if (colon == 0 || colon > 2) return std::nullopt;
  const bool to_the_minute = text.find(':', colon + 1) == std::string_view::npos;
  const auto second = clock_seconds(std::string(text) + (to_the_minute ? ":00" : ""));
  if (!second || !(*second < 86400.0) || text.starts_with('-')) return std::nullopt;
  time.second = *second;
  return time;
}

std::optional<long> calendar_day(std::string_view text) {
  text = text::trimmed(text, text::k_any_white);
  if (text.size() == k_date) return day_of(text);
  const auto time = clock_time(text);
  return time ? time->day : std::nullopt;
}

std::string calendar_text(long day) {
  const std::chrono::year_month_day date{std::chrono::sys_days(std::chrono::days(day))};
  const auto two = [](unsigned part) { return (part < 10 ? "-0" : "-") + std::to_string(part); };
  std::string year = std::to_string(static_cast<int>(date.year()));
  year.insert(0, year.size() < 4 ? 4 - year.size() : 0, '0');
  return year + two(static_cast<unsigned>(date.month())) + two(static_cast<unsigned>(date.day()));
}

}  // namespace blendrisk::units
