#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "decide/curve.hpp"
#include "estimate/result.hpp"
#include "report/format.hpp"
#include "report/table_text.hpp"

/// The one table of options that are no scenario keys. The parser, the help, the manual page and
/// the completion of a shell all come from it.
namespace blendrisk::cli {

struct Option {
  const char* name;
  const char* argument;  ///< nullptr for a switch
  const char* meaning;
  const char* only = nullptr;  ///< the commands that have it, nullptr: all
};

/// All options, in the order of the help.
std::span<const Option> option_table();

/// Whether the command has the option.
bool has(const Option& option, std::string_view command);

/// "table", "update and learn": the words of a list that spaces part.
std::string joined(const std::string& words);

/// Words that an option accepts, with what they stand for.
template <class T>
using Words = std::map<std::string, T>;

const Words<estimate::Method>& method_words();
const Words<report::UnitSystem>& unit_words();
const Words<bool>& scale_words();  ///< whether the scale is linear
const Words<decide::Show>& table_show_words();
const Words<decide::CurveShow>& curve_show_words();

/// The words that an option of a command accepts, empty where it takes other text.
std::vector<std::string> accepted_words(std::string_view command, std::string_view option);

/// ".svg" and the like: how the name of --output may end; empty where the command has none.
std::vector<std::string> output_endings(const std::string& command);

}  // namespace blendrisk::cli
