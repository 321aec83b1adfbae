#include "learn/log.hpp"

#include <cmath>

#include "scenario/keys.hpp"
#include "tests/fuzz/require.hpp"
#include "text/error.hpp"

// Any text is a shop's log, whose rows are what its columns promise, or is refused in one line that
// names the file; so is any choice of rows, which the first line writes: COLUMN=VALUE, a group.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace blendrisk;
  if (size > 4096) return 0;
  std::string text = fuzz::text_of(data, size);
  learn::LogChoice choice;
  const std::size_t end = text.find('\n');
  const std::size_t equals = text.find('=');
  if (end != std::string::npos && equals < end) {
    choice.where.emplace_back(text.substr(0, equals), text.substr(equals + 1, end - equals - 1));
    text = text.substr(end + 1);
  } else if (text.starts_with("@") && end != std::string::npos) {
    choice.group = text.substr(1, end - 1);
    text = text.substr(end + 1);
  }
  try {
    const learn::ShopLog log = learn::read_shop_log("a.csv", text, choice);
    fuzz::require(log.rows() > 0 && log.rows() <= log.rows_of_file);
    fuzz::require(log.group.any() == !choice.group.empty());
    fuzz::require(log.by_day().size() == log.rows());
    for (std::size_t i = 0; i < log.rows(); ++i) {
      const learn::LogRow row = log.row(i);
      fuzz::require(row.line > 1);
      for (const auto& content : {row.pump_test, row.landed_test}) {
        fuzz::require(!content || (*content >= 0.0 && *content <= 1.0));
      }
      for (const auto& volume : {row.indicated_l, row.shown_l, row.heel_l, row.distance_left_km}) {
        fuzz::require(!volume || (*volume >= 0.0 && *volume <= 1e6));
      }
      for (const scenario::Override& each : log.overrides_of(i)) {
        fuzz::require(scenario::find_key(each.key) != nullptr && !each.value.empty());
      }
    }
  } catch (const text::Error& error) {
    fuzz::require_message(error.what());
    fuzz::require(error.place.source == "a.csv");
  }
  return 0;
}
