#include "scenario/log_time.hpp"

#include "text/error.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"

namespace blendrisk::scenario {
namespace {

constexpr double k_day_s = 86400.0;
constexpr double k_half_day_s = 0.5 * k_day_s;
constexpr double k_highest_rate = 1.0;

const text::Place k_clock{{}, 0, k_clock_column};

}  // namespace

double LogClock::seconds(std::string_view cell) {
  const std::optional<units::ClockTime> now = units::clock_time(cell);
  if (!now) {
    throw text::Error(text::in_quotes(cell) + " is no time of a clock",
                      "18:04, 18:04:30 or 2026-11-27 18:04:30", k_clock);
  }
  double at = now->second + k_day_s * static_cast<double>(now->day.value_or(0));
  if (!any_) {
    any_ = true;
    dated_ = now->day.has_value();
    if (!started_) {
      zero_ = text::trimmed(cell, text::k_any_white);
      origin_s_ = at;
    } else if (started_->day) {
      if (!dated_) {
        throw text::Error("has no date, and --started has one", "both with a date, or both without",
                          k_clock);
      }
      origin_s_ = started_->second + k_day_s * static_cast<double>(*started_->day);
    } else {
      // Of all days, the one that brings the start nearest to the first row.
      origin_s_ = started_->second + (at - now->second);
      if (at - origin_s_ > k_half_day_s) origin_s_ += k_day_s;
      if (at - origin_s_ < -k_half_day_s) origin_s_ -= k_day_s;
    }
  } else {
    if (now->day.has_value() != dated_) {
      throw text::Error(
          dated_ ? "has no date, and rows before have" : "has a date, and no row before",
          "a date in every row, or in none", k_clock);
    }
    at += midnights_s_;
    if (!dated_ && at < last_s_ - k_half_day_s) {
      midnights_s_ += k_day_s;
      at += k_day_s;
    }
  }
  last_s_ = at;
  return at - origin_s_;
}

double BurnedByRate::take(double time_s, double rate_l_per_s) {
  if (time_s > 0.0) {
    burned_l_ += 0.5 * (last_rate_.value_or(rate_l_per_s) + rate_l_per_s) * (time_s - last_time_s_);
    last_time_s_ = time_s;
  }
  last_rate_ = rate_l_per_s;
  return burned_l_;
}

void require_rate(double rate_l_per_s) {
  if (rate_l_per_s >= 0.0 && rate_l_per_s <= k_highest_rate) return;
  throw text::Error("is out of range", "0 L/h to 3600 L/h", {{}, 0, k_rate_column});
}

}  // namespace blendrisk::scenario
