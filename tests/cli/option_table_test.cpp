#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>

#include "cli/command.hpp"

namespace blendrisk::cli {
namespace {

TEST(OptionTable, TheCommandsOfAnOptionReadAsASentence) {
  EXPECT_EQ(commands_with(*find_option("rows")), "table");
  EXPECT_EQ(commands_with(*find_option("show")), "table, curve and verify");
  EXPECT_EQ(commands_with(*find_option("require")),
            "chance, fill, heel, arrive, update, table and policy");
  EXPECT_EQ(commands_with(*find_option("help")), "");
}

// Commands name their options: a name that is no option's would be lost without a word.
TEST(OptionTable, CommandsNameOptionsThatAreThereAndAllOfThem) {
  std::set<std::string> named{"help", "version"};
  for (const Command* command : commands()) {
    for (const std::string& name : words_of(command->options)) {
      EXPECT_NE(find_option(name), nullptr) << command->name << " --" << name;
      named.insert(name);
    }
  }
  for (const Option& option : option_table()) EXPECT_TRUE(named.contains(option.name));
}

TEST(OptionTable, EveryNamedChoiceAndOutputIsKnownForItsCommands) {
  for (const Option& option : option_table()) {
    for (const Command* command : commands()) {
      if (option.argument == nullptr || !has(option, *command)) continue;
      const std::string what = std::string(command->name) + " --" + option.name;
      if (std::string_view(option.argument) == "NAME") {
        EXPECT_GE(accepted_words(option, *command).size(), 2U) << what;
      }
      if (std::string_view(option.name) == "output") {
        EXPECT_FALSE(words_of(command->output).empty()) << what;
      }
    }
  }
}

}  // namespace
}  // namespace blendrisk::cli
