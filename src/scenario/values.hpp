#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "scenario/ini.hpp"
#include "scenario/keys.hpp"
#include "scenario/read.hpp"
#include "scenario/scenario.hpp"

/// The texts given for keys, converted one by one with their place at hand for errors.
namespace blendrisk::scenario {

class Values {
 public:
  /// Entries of a scenario, with the overrides in their place. An override of a key that excludes
  /// others (heel.reading for heel.content) takes the place of those of the file.
  /// @throws text::Error for unknown, repeated or unreadable overrides.
  Values(std::string name, std::vector<Entry> entries, const std::vector<Override>& overrides,
         const ReadText& read_text);

  bool has(const std::string& key) const { return entries_.contains(key); }
  bool has_section(const std::string& section) const;

  /// The value, or the table's default, in inner units.
  /// @throws text::Error where there is neither, or the text is malformed or out of range.
  double quantity(const std::string& key) const;
  std::string word(const std::string& key) const;  ///< in lower case, but for free text

  /// The value of one of them. @throws text::Error where it is no number above −1 and below 1
  double rank_correlation(const std::string& key) const;

  /// None where the key is not given and has no default.
  std::optional<double> optional_quantity(const std::string& key) const;

  /// The law of a key that has one but is drawn in no case (Kind::law). @throws text::Error
  Distribution law(const std::string& key) const;

  /// Puts the laws of a section's uncertain inputs where they live in the scenario. One that is not
  /// given and has no default stays as it is there.
  /// @throws text::Error as for quantity
  void take_laws(std::string_view section, Scenario& scenario) const;

  /// The keys of [correlation], "correlation.A, B", in the order of the file.
  const std::vector<std::string>& correlations() const { return correlations_; }

  /// What was given, in the order of the key table.
  std::vector<Given> given() const;

  /// Throws text::Error at the place of `key` (of the file where it is not given).
  [[noreturn]] void fail(const std::string& key, const std::string& wrong) const;

  /// Where a key is given, or the file where it is not.
  text::Place place_of(const std::string& key) const;

 private:
  void apply(const Override& override_of);
  std::string text(const std::string& key) const;
  Distribution distribution(const Key& key) const;
  /// A quantity, or a gauge's share of the tank, in inner units, of any size.
  double parsed(const Key& key, const std::string& given_text) const;

  std::string name_;
  const ReadText& read_text_;
  std::map<std::string, Entry> entries_;
  std::vector<std::string> correlations_;
};

}  // namespace blendrisk::scenario
