#pragma once

#include <span>
#include <string>
#include <vector>

#include "scenario/keys.hpp"

namespace blendrisk::cli {

/// A command as the help tells of it.
struct Topic {
  const char* command;
  const char* question;  ///< one line of the general help
  /// Lines "Usage: ..." and further ones under the first, paragraphs with examples indented by two
  /// spaces, and, where there are any, the head of its options.
  const char* text;
};

/// The commands but for help, in the order of the help.
std::span<const Topic> topics();

/// What the program finds: "the chance that ...", a sentence without its beginning.
std::string purpose_text();

/// An exit status of the program.
struct Status {
  int number;
  const char* meaning;
};

std::span<const Status> statuses();

/// The section whose keys are pairs of keys.
struct PairsOfKeys {
  const char* section;
  const char* where;
  const char* meaning;
  const char* example;
  const char* range;
};

inline constexpr PairsOfKeys k_correlation{
    "correlation", "in the file only",
    "rank correlation (Spearman's) of two uncertain inputs; default: 0",
    "fuel.content, fill-2.content = 0.6", "above -1 and below 1"};

/// "required", "optional" or "default: 0 L".
std::string standing_text(const scenario::Key& key);

/// Names of the commands, help among them.
const std::vector<std::string>& command_names();

/// "chance, fill, ... and LAST", for messages that say what is accepted.
std::string listed_commands(const std::string& last);

/// The help on the program, on a command, or with "keys" the table of scenario keys.
/// @param topic  empty for the program
/// @throws UsageError for an unknown topic
std::string help_text(const std::string& topic);

}  // namespace blendrisk::cli
