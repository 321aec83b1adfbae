#include <algorithm>

#include "answer/description.hpp"
#include "answer/plain_text.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

/// One with an error and no interval is a number that was searched by, told as it is.
std::string chance_text(const estimate::Estimate& estimate) {
  const auto& [low, high] = estimate.interval;
  if (low == high && estimate.standard_error > 0.0) {
    return chance_percent(estimate.chance, estimate.standard_error);
  }
  return estimate_text(estimate);
}

std::string with_unit(const Value& value, UnitSystem units) {
  switch (value.kind) {
    case Kind::volume:
      return volume_text(value.number, units);
    case Kind::dispenser:
      return dispenser_text(value.number, units);
    case Kind::gauge:
      return gauge_text(value.number, units);
    case Kind::distance:
      return distance_text(value.number, units);
    case Kind::time:
      return time_text(value.number);
    case Kind::percent:
      return short_text(100.0 * value.number, value.digits) + " %";
    case Kind::content:
      return content_text(value.number, value.digits);
    case Kind::number:
      return short_text(value.number, value.digits);
    case Kind::fixed:
      return fixed_text(value.number, value.digits);
    case Kind::chance:
      return chance_text(value.estimate);
    case Kind::interval:
      return interval_text(value.estimate);
    case Kind::given:
      return cleaned(units == UnitSystem::us ? in_gallons(value.text) : value.text);
    default:
      return value.text;
  }
}

}  // namespace

std::string filled(const Value& value, const std::vector<std::string>& parts) {
  if (value.kind == Kind::words) return filled(words(value.text), parts);
  std::string all;
  for (const std::string& part : parts) {
    if (!part.empty()) all += (all.empty() ? "" : " ") + part;
  }
  return all;
}

std::string shown(const Value& value, UnitSystem units) {
  if (value.kind == Kind::words || value.kind == Kind::joined) {
    std::vector<std::string> parts;
    for (const Value& part : value.parts) parts.push_back(shown(part, units));
    return filled(value, parts);
  }
  std::string text = with_unit(value, units);
  if (value.bare) text.resize(std::min(text.find(' '), text.size()));
  return text;
}

}  // namespace blendrisk::answer
