#include "cli/help.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "cli/command.hpp"
#include "distributions/form.hpp"
#include "scenario/keys.hpp"

namespace blendrisk::cli {
namespace {

using ::testing::HasSubstr;

TEST(Help, ManualHasEveryCommandAndOption) {
  const std::string text = help_text("manual");
  for (const Command* command : commands()) {
    const std::string name = command->name;
    EXPECT_THAT(text, HasSubstr("\n" + name + ":\n  blendrisk " + name + " "));
    std::istringstream usage(command->usage);
    for (std::string line; std::getline(usage, line);)
      EXPECT_THAT(text, HasSubstr("\n  blendrisk " + name + " " + line + "\n"));
  }
  for (const Option& option : option_table()) {
    EXPECT_THAT(text, HasSubstr("\n  --" + std::string(option.name) + " "));
  }
}

TEST(Help, ScenarioHasEveryKeyAndLaw) {
  const std::string text = help_text("scenario");
  for (const scenario::Key& key : scenario::keys()) {
    EXPECT_THAT(text, HasSubstr("\n*" + key.name + "* = "));
  }
  for (const distributions::Form* form : distributions::forms()) {
    EXPECT_THAT(text, HasSubstr("\n*" + std::string(form->text) + "*\n"));
    EXPECT_FALSE(form->meaning.empty());
  }
}

}  // namespace
}  // namespace blendrisk::cli
