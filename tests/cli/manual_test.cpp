#include "cli/manual.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "cli/completion.hpp"
#include "cli/help.hpp"
#include "cli/option_table.hpp"
#include "cli/roff.hpp"
#include "distributions/distribution_text.hpp"
#include "scenario/keys.hpp"

namespace blendrisk::cli {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

TEST(Roff, TextIsNeverTakenForARequest) {
  EXPECT_EQ(roff::text(R"(a\b-c 'd')"), R"(a\eb\-c \(aqd\(aq)");
  EXPECT_THAT(roff::paragraph(".SH is no head"), HasSubstr("\n\\&.SH is no head\n"));
  EXPECT_THAT(roff::paragraph("'tis no request"), Not(HasSubstr("\n'")));
  // A line that is broken before a word with a dot.
  const std::string long_line(78, 'x');
  EXPECT_THAT(roff::finished(long_line + " .csv\n"), HasSubstr("\n\\&.csv\n"));
}

TEST(Roff, WordsBetweenBackquotesAreBold) {
  EXPECT_EQ(roff::text("see `help keys`, too"), R"(see \fBhelp keys\fR, too)");
  EXPECT_EQ(roff::text("a lone ` stays"), R"(a lone \(ga stays)");
}

TEST(Roff, CommandsAreBrokenBeforeAnOption) {
  EXPECT_THAT(roff::broken_command("run car.ini --one 1 --two 2", 22),
              ElementsAre("run car.ini --one 1 \\", "    --two 2"));
  EXPECT_THAT(roff::broken_command("run car.ini --one 1 --two 2", 80),
              ElementsAre("run car.ini --one 1 --two 2"));
  EXPECT_THAT(roff::broken_command("run nothing-to-break-before", 10),
              ElementsAre("run nothing-to-break-before"));
}

TEST(Roff, LinesAreBrokenButForExamplesAndRequests) {
  const std::string words =
      "word word word word word word word word word word word word word word "
      "word word word word word word word word\n";
  const std::string source = roff::finished(words + ".EX\n" + words + ".EE\n" + words);
  EXPECT_THAT(source, HasSubstr(".EX\n" + words + ".EE\n"));
  std::istringstream lines(source);
  int wide = 0;
  for (std::string line; std::getline(lines, line);) wide += line.size() > 80 ? 1 : 0;
  EXPECT_EQ(wide, 1);
}

TEST(OptionTable, ListsReadAsASentence) {
  EXPECT_EQ(joined("table"), "table");
  EXPECT_EQ(joined("update learn"), "update and learn");
  EXPECT_EQ(joined("chance fill heel table curve learn"),
            "chance, fill, heel, table, curve and learn");
}

TEST(OptionTable, EveryNamedChoiceAndOutputIsKnownForItsCommands) {
  for (const Option& option : option_table()) {
    for (const Topic& topic : topics()) {
      if (option.argument == nullptr || !has(option, topic.command)) continue;
      const std::string what = std::string(topic.command) + " --" + option.name;
      if (std::string_view(option.argument) == "NAME") {
        EXPECT_GE(accepted_words(topic.command, option.name).size(), 2U) << what;
      }
      if (std::string_view(option.name) == "output") {
        EXPECT_FALSE(output_endings(topic.command).empty()) << what;
      }
    }
  }
}

TEST(Manual, SaysTheDayOfTheVersionAndNoOther) {
  const std::string page = program_manual("2026-01-31");
  EXPECT_TRUE(page.starts_with(".TH BLENDRISK 1 2026-01-31 ")) << page.substr(0, 60);
  EXPECT_EQ(page, program_manual("2026-01-31"));
}

TEST(Manual, HasEveryOptionKeyAndLaw) {
  const std::string program = program_manual("2026-01-31");
  for (const Option& option : option_table()) {
    EXPECT_THAT(program, HasSubstr(".TP\n" + roff::bold("--" + std::string(option.name))));
  }
  const std::string scenario = scenario_manual("2026-01-31");
  for (const scenario::Key& key : scenario::keys()) {
    EXPECT_THAT(scenario, HasSubstr(".TP\n" + roff::bold(key.name) + " = "));
  }
  for (const distributions::LawForm& form : distributions::law_forms()) {
    EXPECT_THAT(scenario, HasSubstr(".TP\n" + roff::bold(form.text)));
    EXPECT_FALSE(form.meaning.empty());
  }
}

TEST(Completion, HasEveryKeyAndNoQuoteThatWouldEndItsLists) {
  const std::string script = bash_completion();
  for (const std::string& name : scenario::key_names()) EXPECT_THAT(script, HasSubstr(name));
  for (const Option& option : option_table()) {
    EXPECT_EQ(std::string(option.name).find_first_of("' $`\\\""), std::string::npos);
  }
}

}  // namespace
}  // namespace blendrisk::cli
