#include "scenario/values.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "distributions/distribution_text.hpp"
#include "scenario/column.hpp"
#include "scenario/correlation.hpp"
#include "text/error.hpp"
#include "text/letter_case.hpp"
#include "text/number.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"
#include "units/tank_share.hpp"

namespace blendrisk::scenario {

using text::Error;

Values::Values(std::string name, std::vector<Entry> entries, const std::vector<Override>& overrides,
               const ReadText& read_text)
    : name_(std::move(name)), read_text_(read_text) {
  for (Entry& entry : entries) {
    std::string key = entry.key;
    if (is_correlation(key)) correlations_.push_back(key);
    entries_.emplace(std::move(key), std::move(entry));
  }
  std::set<std::string> overridden;
  for (const Override& each : overrides) {
    // An axis may go along a key that is also given beside the file: it moves that.
    if (!each.along_axis && !overridden.insert(each.key).second) {
      throw Error("is given twice", "once is accepted", {"--" + each.key});
    }
    apply(each);
  }
}

void Values::apply(const Override& override_of) {
  const text::Place place{"--" + override_of.key.substr(0, 80)};
  const Key* key = find_key(override_of.key);
  if (key == nullptr) {
    throw Error("unknown key" + nearest_note(override_of.key, key_names()),
                "`blendrisk help keys` lists what is accepted", place);
  }
  const std::string why = text::unreadable_because(override_of.value);
  if (!why.empty()) {
    throw Error(text::in_quotes(override_of.value) + " " + why, accepted_text(*key), place);
  }
  for (const std::string& displaced : displaced_by(override_of.key, override_of.along_axis)) {
    const auto found = entries_.find(displaced);
    // Only what the file says gives way; two overrides that exclude each other are an error.
    if (found != entries_.end() && found->second.place.line > 0) entries_.erase(found);
  }
  Entry entry{override_of.key, std::string(text::trimmed(override_of.value)), place};
  if (override_of.along_axis && key->takes_law() && entry.value.find('(') == std::string::npos) {
    const auto found = entries_.find(override_of.key);
    entry.moves = found == entries_.end() ? key->default_text : found->second.value;
  }
  entries_.insert_or_assign(override_of.key, std::move(entry));
}

bool Values::has_section(const std::string& section) const {
  const auto found = entries_.lower_bound(section + ".");
  return found != entries_.end() && found->first.starts_with(section + ".");
}

text::Place Values::place_of(const std::string& key) const {
  const auto found = entries_.find(key);
  return found == entries_.end() ? text::Place{name_, 0, key} : found->second.place;
}

void Values::fail(const std::string& key, const std::string& wrong) const {
  throw Error(wrong, {}, place_of(key));
}

std::string Values::text(const std::string& key) const {
  const Key& known = *find_key(key);
  const auto found = entries_.find(key);
  if (found == entries_.end()) {
    if (known.default_text.empty()) fail(key, "is required; " + accepted_text(known));
    return known.default_text;
  }
  if (found->second.value.find_first_not_of(" \t") == std::string::npos) {
    fail(key, "has no value; " + accepted_text(known));
  }
  return found->second.value;
}

std::string Values::word(const std::string& key) const {
  const bool free = find_key(key)->kind == Kind::text;
  return free ? text(key) : text::in_lower_case(text(key));
}

double Values::parsed(const Key& key, const std::string& given_text) const {
  const auto share = key.kind == Kind::gauge ? units::tank_share(given_text) : std::nullopt;
  if (share) return *share * quantity("tank.capacity");
  return text::at(place_of(key.full_name()), [&] {
    return units::parse_quantity(given_text, key.dimension, accepted_text(key));
  });
}

double Values::quantity(const std::string& key) const {
  const Key& known = *find_key(key);
  const std::string given_text = text(key);
  const double value = parsed(known, given_text);
  if (!std::isfinite(value) || !known.range.holds(value)) {
    fail(key, text::in_quotes(given_text) + " is out of range; " + known.range.text);
  }
  return value;
}

namespace {

/// A law that this thread has read before is the same one, with the tables that it has made since:
/// the cells of a table say most of theirs again and again.
template <class Read>
Distribution read_before(units::Dimension dimension, const std::string& text, const Read& read) {
  constexpr std::size_t k_most = 64;
  thread_local std::map<std::pair<units::Dimension, std::string>, Distribution> known;
  const std::pair of(dimension, text);
  const auto found = known.find(of);
  if (found != known.end()) return found->second;
  if (known.size() >= k_most) known.clear();
  return known.emplace(of, read()).first->second;
}

}  // namespace

Distribution Values::distribution(const Key& known) const {
  const std::string key = known.full_name();
  const std::string given_text = text(key);
  const auto column = [&](const std::string& path, const std::string& name) {
    return read_column(path, read_text_(path), name, known.dimension);
  };
  const auto entry = entries_.find(key);
  const std::string moves = entry == entries_.end() ? std::string() : entry->second.moves;
  const auto read = [&] {
    const auto parsed = [&](const std::string& text) {
      return distributions::parse_distribution(text, known.dimension, column);
    };
    const Distribution said = parsed(given_text);
    if (moves.empty()) return said;
    return distributions::moved(parsed(moves), distributions::mean(said));
  };
  const Distribution law = text::at(place_of(key), [&] {
    const bool of_file = (given_text + moves).find('"') != std::string::npos;
    return of_file ? read() : read_before(known.dimension, given_text + '\n' + moves, read);
  });
  const double mean = distributions::mean(law);
  if (!std::isfinite(mean) || !known.range.holds(mean)) {
    const char* what =
        distributions::is_exact(law) ? " is out of range; " : " has its mean out of range; ";
    fail(key, text::in_quotes(given_text) + what + known.range.text);
  }
  return law;
}

Distribution Values::law(const std::string& key) const {
  return distribution(*find_key(key));
}

double Values::rank_correlation(const std::string& key) const {
  const std::string& given_text = entries_.at(key).value;
  double rank = 0.0;
  const char* end = given_text.data() + given_text.size();
  const auto read = std::from_chars(given_text.data(), end, rank);
  if (read.ec != std::errc() || read.ptr != end || !(std::abs(rank) < 1.0)) {
    const std::string_view odd = text::first_with_comma(given_text);
    if (!odd.empty()) {
      const text::CommaFault comma = text::comma_fault(odd);
      fail(key, text::in_quotes(given_text) + " " + comma.wrong + "; " + comma.advice);
    }
    fail(key, text::in_quotes(given_text) + " is no rank correlation; " + k_correlation_accepted);
  }
  return rank;
}

std::optional<double> Values::optional_quantity(const std::string& key) const {
  if (!has(key) && find_key(key)->default_text.empty()) return std::nullopt;
  return quantity(key);
}

void Values::take_laws(std::string_view section, Scenario& scenario) const {
  for (const Key& key : keys()) {
    if (!key.row || key.section != section) continue;
    const bool stays = key.default_text.empty() && key.default_note != k_required;
    if (stays && !has(key.full_name())) continue;
    key.row->put(scenario, key.row->fill, distribution(key));
  }
}

std::vector<Given> Values::given() const {
  std::vector<Given> result;
  for (const Key& key : keys()) {
    const auto found = entries_.find(key.full_name());
    if (found != entries_.end()) {
      result.push_back({found->first, found->second.value, found->second.comment});
    }
  }
  for (const std::string& key : correlations_) {
    const auto [first, second] = correlated_keys(key);
    const Entry& entry = entries_.at(key);
    result.push_back({key, entry.value + " of " + first + " and " + second, entry.comment});
  }
  return result;
}

}  // namespace blendrisk::scenario
