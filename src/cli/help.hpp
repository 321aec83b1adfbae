#pragma once

#include <string>
#include <vector>

/// Texts about the program, all of them from the tables of commands, options and keys.
namespace blendrisk::cli {

/// Names of the commands, help among them.
std::vector<std::string> command_names();

/// "chance, fill, ... and LAST", for messages that say what is accepted.
std::string listed_commands(const std::string& last);

/// The help on the program, on a command, or with "keys" the table of scenario keys; with "manual"
/// and "scenario" what the manual pages are made from, by help2man and by scdoc.
/// @param topic  empty for the program
/// @throws text::Error for an unknown topic
std::string help_text(const std::string& topic);

/// The table of scenario keys, for people.
std::string keys_text();

/// What only the tables know of the page blendrisk-scenario(5), as scdoc(5) source in parts that
/// begin with a line "@NAME".
std::string scenario_parts();

}  // namespace blendrisk::cli
