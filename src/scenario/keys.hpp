#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "scenario/scenario.hpp"
#include "units/quantity.hpp"

/// The one table of scenario keys. The parser, the command line's options, the help, the reference
/// pages and the labels of reports come from it; so does all that is done with every uncertain
/// input: reading, drawing, holding, setting to its mean, making known.
namespace blendrisk::scenario {

enum class Kind {
  text,        ///< free text
  quantity,    ///< one number with a unit
  gauge,       ///< a quantity or a share of the tank
  uncertain,   ///< a quantity or a law, drawn in every case
  law,         ///< a quantity or a law, of no case: what is known of a test
  amount,      ///< a quantity or the word click-off
  pipe_flow,   ///< laminar or plug
  stopped_by,  ///< click-off or hand
  schedule,    ///< phases of driving
  inputs,      ///< keys of uncertain inputs of the car or its line
};

/// What is accepted, in inner units. The mean of an uncertain value must lie in it.
struct Range {
  double low, high;
  bool open;         ///< the bounds themselves are outside
  const char* text;  ///< "0 % to 100 %"

  bool holds(double value) const {
    return open ? value > low && value < high : value >= low && value <= high;
  }
};

/// What draws are held within, in inner units; infinite: no bound.
struct Bounds {
  double low, high;
};

/// What the table says of an uncertain input beside its key.
struct Row {
  Uncertain input;
  std::size_t fill;  ///< from 0; 0 for those of the car and the line
  /// Its law in a scenario that has this fill; get is nullptr where the scenario gives none.
  const Distribution* (*get)(const Scenario&, std::size_t fill);
  void (*put)(Scenario&, std::size_t fill, Distribution law);
  /// Whether anything depends on it in such a scenario; nullptr: always.
  bool (*matters)(const Scenario&, std::size_t fill) = nullptr;
};

struct Key {
  std::string section;  ///< empty for title
  std::string name;
  Kind kind;
  units::Dimension dimension;  ///< of quantity, gauge, uncertain and amount
  Range range;
  std::string default_text;  ///< as a user would write it; empty where there is none
  std::string default_note;  ///< what stands in for a default ("required", "the capacity")
  std::string meaning;
  std::string label;            ///< in a few words, of at most 34 columns
  std::optional<Row> row = {};  ///< of an uncertain one

  /// Whether it may be a law in place of a quantity.
  bool takes_law() const { return kind == Kind::uncertain || kind == Kind::law; }
  std::string full_name() const { return section.empty() ? name : section + "." + name; }
};

/// The note of a key that has to be given in any case.
inline constexpr const char* k_required = "required";

/// Later fills are the sections fill-2 to fill-9.
inline constexpr std::size_t k_last_fill = 9;

/// All keys, in the order of the reference.
std::span<const Key> keys();

/// The key of that full name ("heel.indicated"), nullptr where there is none.
const Key* find_key(std::string_view full_name);

/// The key of an uncertain input, nullptr where it has none (burn-first of the first fill).
const Key* key_of(Uncertain input, std::size_t fill);

/// The law of an uncertain key, nullptr where the scenario gives none.
const Distribution* law_of(const Scenario& scenario, const Key& key);

/// The bounds of an uncertain key: nothing is less than none of it, and no content more than all;
/// errors, which have either sign, have none.
Bounds physical_bounds(const Key& key);

/// Full names of all keys, and the names of all sections.
std::span<const std::string> key_names();
std::span<const std::string> section_names();

/// "text", "uncertain volume", "`laminar` or `plug`": the kind column of the reference.
std::string kind_text(const Key& key);

/// What the key accepts, as the tail of an error message.
std::string accepted_text(const Key& key);

/// " (the nearest known name is ...)", or nothing where no known name is near.
std::string nearest_note(std::string_view word, std::span<const std::string> known);

}  // namespace blendrisk::scenario
