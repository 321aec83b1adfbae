#pragma once

#include <string>
#include <vector>

namespace blendrisk::cli {

/// Names of the commands, help among them.
const std::vector<std::string>& command_names();

/// "chance, fill, ... and LAST", for messages that say what is accepted.
std::string listed_commands(const std::string& last);

/// The help on the program, on a command, or with "keys" the table of scenario keys.
/// @param topic  empty for the program
/// @throws UsageError for an unknown topic
std::string help_text(const std::string& topic);

}  // namespace blendrisk::cli
