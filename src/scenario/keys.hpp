#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "units/quantity.hpp"

/// The one table of scenario keys. The parser, the command line's options, the help and the
/// reference pages all come from it.
namespace blendrisk::scenario {

enum class Kind {
  text,       ///< free text
  quantity,   ///< one number with a unit
  gauge,      ///< a quantity or a share of the tank
  uncertain,  ///< a quantity or a law
  amount,     ///< a quantity or the word click-off
  pipe_flow,  ///< laminar or plug
  schedule,   ///< phases of driving
};

/// Physical range in inner units. The mean of an uncertain value must lie in it; draws outside are
/// held at the bound.
struct Range {
  double low, high;
  bool open;         ///< the bounds themselves are outside
  const char* text;  ///< "0 % to 100 %"
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

  std::string full_name() const { return section.empty() ? name : section + "." + name; }
};

/// Later fills are the sections fill-2 to fill-9.
inline constexpr int k_last_fill = 9;

/// All keys, in the order of the reference.
std::span<const Key> keys();

/// The key of that full name ("heel.indicated"), nullptr where there is none.
const Key* find_key(std::string_view full_name);

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
