#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

#include "cli/command.hpp"
#include "tests/cli/temporary_files.hpp"

// An option either does something to the answer that is asked for, or it is refused: every option
// of the table with every command, in every form of answer that the command has.
namespace blendrisk::cli {
namespace {

using testing::contents;
using ::testing::HasSubstr;
using testing::run_with;
using testing::source_dir;
using testing::TemporaryDirectory;

using Args = std::vector<std::string>;

constexpr const char* k_car = R"(# Invented car
[tank]
capacity = 50 L
[heel]
indicated = 4 L
gauge-error = normal(0 L, 1 L)
content = uniform(5 %, 10 %)
[fuel]
content = uniform(70 %, 82 %)
[line]
filter = 0.2 L
[engine]
idle = 1 L/h
[sensor]
noise = 1 %
[limits]
minimum = 62 %
accepted-risk = 2 %
)";

// A command line each; CAR is the scenario, DIR the test's directory, SRC the project's.
constexpr const char* k_asked = R"(chance|CAR
chance|CAR|--json
chance|CAR|--method|crude
fill|CAR
fill|CAR|--json
heel|CAR
heel|CAR|--json
arrive|CAR
arrive|CAR|--json
arrive|CAR|--method|crude
update|CAR|--reading|0.1 L: 40 %
update|CAR|--reading|0.1 L: 40 %|--json
update|CAR|--readings|-
drivers|CAR
learn|--log|DIR/tests.csv
learn|--log|DIR/log.csv|CAR|--json
verify|DIR/log.csv|CAR
verify|DIR/log.csv|CAR|--json
verify|DIR/log.csv|CAR|--output|DIR/answer.csv
learn|--changeover|SRC/examples/invented-changeover.csv|SRC/examples/wagon-line.ini
table|--join|DIR/part.csv
table|CAR|TABLE
table|CAR|TABLE|--json
table|CAR|TABLE|--output|DIR/answer.csv
table|CAR|TABLE|--show|chance
table|CAR|TABLE|--show|chance|--json
table|CAR|TABLE|--show|chance|--output|DIR/answer.csv
table|--cars|CAR|--pumps|DIR/pump.ini
table|--cars|CAR|--pumps|DIR/pump.ini|--json
table|--cars|CAR|--pumps|DIR/pump.ini|--output|DIR/answer.csv
table|--cars|CAR|--pumps|DIR/pump.ini|--show|chance
table|--cars|CAR|--pumps|DIR/pump.ini|--show|heel|--json
policy|--cars|CAR|--pumps|DIR/pump.ini|--changes|2
policy|--cars|CAR|--pumps|DIR/pump.ini|--changes|2|--json
policy|--cars|CAR|--pumps|DIR/pump.ini|--changes|2|--output|DIR/answer.csv
table|CAR|--rows|fuel.content=74 %; 78 %|--columns|heel.content=5 %; 8 %|--show|heel|--json)";
constexpr const char* k_curves = R"(curve|CAR|CURVE
curve|CAR|CURVE|--show|amount
curve|CAR|CURVE|--show|landed
curve|CAR|CURVE|--show|arrival|--after|0.4 L)";
constexpr const char* k_forms = R"(
|--json
|--output|DIR/answer.csv)";
constexpr const char* k_drawn = R"(chance|CAR|--output|DIR/answer.svg
arrive|CAR|--output|DIR/answer.svg
drivers|CAR|--output|DIR/answer.svg
guide|CAR|--output|DIR/answer.html
table|--cars|CAR|--pumps|DIR/pump.ini|--output|DIR/answer.svg)";

Args split(const std::string& text, char at) {
  Args parts;
  std::istringstream in(text);
  for (std::string part; std::getline(in, part, at);) parts.push_back(part);
  return parts;
}

class IdleOptions : public ::testing::Test {
 protected:
  IdleOptions() {
    directory_.write("car.ini", k_car);
    directory_.write("pump.ini", "[fuel]\ncontent = uniform(71 %, 81 %)\n");
    directory_.write("tests.csv", "content_percent,pump\n74,a\n76,a\n75,b\n78,b\n");
    directory_.write(
        "log.csv",
        "date,bay,pump,landed_test_percent,reading_percent,pump_test_percent\n"
        "2031-01-03,a,n,75,74,74\n2031-01-20,b,n,70,71,75\n2031-02-03,a,s,72,71.5,76\n");
    directory_.write("readings.csv", "burned_l,reading_percent\n0.3,50\n0.5,60\n");
    left_by(args("table|CAR|TABLE|--part|1/1|--output|DIR/part.csv"));
  }

  std::string file(const std::string& name) const { return directory_.file(name); }

  Args args(const std::string& line) const {
    static const std::string table =
        "--rows|heel.indicated=2:4:2L|--columns|fuel.content=74 %; 78 %";
    const std::map<std::string, std::string> stand_for{{"CAR", file("car.ini")},
                                                       {"DIR", file("")},
                                                       {"SRC", source_dir()},
                                                       {"TABLE", table},
                                                       {"CURVE", "--along|heel.indicated=2:8:3L"}};
    std::string text = line;
    for (const auto& [name, what] : stand_for) {
      for (std::size_t at = text.find(name); at != std::string::npos; at = text.find(name)) {
        text.replace(at, name.size(), what);
      }
    }
    return split(text, '|');
  }

  /// Each form of answer of each command.
  static Args all_asked() {
    Args lines = split(k_asked, '\n');
    Args forms = split(k_forms, '\n');
    if (std::system("command -v gnuplot >/dev/null") == 0) {
      for (const std::string& line : split(k_drawn, '\n')) lines.push_back(line);
      forms.emplace_back("|--output|DIR/answer.svg");
    }
    for (const std::string& curve : split(k_curves, '\n')) {
      for (const std::string& form : forms) lines.push_back(curve + form);
    }
    return lines;
  }

  /// The option with a value that is no default.
  Args given(const Option& option, const std::string& command) const {
    static const std::map<std::string, std::string> values{
        {"cars", "CAR"},
        {"pumps", "DIR/pump.ini"},
        {"changes", "3"},
        {"year-risk", "10 %"},
        {"cost-of-miss", "400"},
        {"seed", "7"},
        {"threads", "1"},
        {"precision", "0.3 %"},
        {"cases", "2048"},
        {"method", "crude"},
        {"units", "us"},
        {"language", "german"},
        {"reading", "0.3 L: 55 %"},
        {"readings", "DIR/readings.csv"},
        {"started", "18:04"},
        {"log", "DIR/tests.csv"},
        {"pump", "b"},
        {"car", "van"},
        {"on", "2031-07-01"},
        {"same-delivery", "0"},
        {"group", "pump"},
        {"where", "bay=a"},
        {"changeover", "SRC/examples/invented-changeover.csv"},
        {"rows", "heel.indicated=2:4:1L"},
        {"columns", "fuel.content=74 %; 76 %"},
        {"along", "heel.indicated=2:4:1L"},
        {"by", "fuel.content=74 %; 76 %"},
        {"after", "0.5 L"},
        {"scale", "linear"},
        {"part", "1/2"}};
    const std::string name = "--" + std::string(option.name);
    if (option.argument == nullptr) return args(name);
    const bool data = command == "table" || command == "curve";
    if (name == "--output") return args(name + "|DIR/other" + (data ? ".csv" : ".svg"));
    if (name == "--show") return args(name + (command == "table" ? "|chance" : "|landed"));
    return args(name + "|" + values.at(option.name));
  }

  /// All that a run leaves: status, answer and files, but for the time it took.
  std::string left_by(const Args& words) {
    const Args names = split("answer.csv|answer.svg|answer.html|other.csv|other.svg", '|');
    for (const std::string& name : names) std::filesystem::remove(file(name));
    last_ = run_with(words, "clock,reading_percent\n18:08,40\n");
    std::string left = std::to_string(last_.status) + "\n" + last_.out;
    files_ = 0;
    for (const std::string& name : names) {
      if (!std::filesystem::exists(file(name))) continue;
      left += name + contents(file(name));
      ++files_;
    }
    static const std::regex elapsed("\"elapsed_s\":[^,}]*");
    return std::regex_replace(left, elapsed, "");
  }

  bool refused() const {
    return last_.status == k_bad_input && last_.out.empty() && files_ == 0 &&
           last_.err.starts_with("blendrisk: ") &&
           std::count(last_.err.begin(), last_.err.end(), '\n') == 1;
  }

  static Args joined(Args words, const Args& more) {
    words.insert(words.end(), more.begin(), more.end());
    return words;
  }

  /// As it was the last time: the same is asked often.
  const std::string& before(const Args& words) {
    const auto found = known_.find(words);
    return found != known_.end() ? found->second : known_[words] = left_by(words);
  }

  void check(const std::string& line, const Option& option) {
    Args words = args(line);
    const std::string command = words.front();
    const std::string name = "--" + std::string(option.name);
    const bool there = std::find(words.begin(), words.end(), name) != words.end();
    if (there && name != "--reading") return;
    // What is required shows where it is not so.
    if (name == "--require" && (words[1] == file("car.ini") || words[1] == "--cars")) {
      words = joined(words, args("--limits.minimum|79 %"));
    }
    const std::string was = before(words);
    const Args more = joined(words, given(option, command));
    const std::string is = left_by(more);
    if (refused()) {
      const bool other = last_.err.find(name + ": is an option of ") != std::string::npos;
      EXPECT_EQ(other, !has(option, *find_command(command))) << last_.err;
      return;
    }
    EXPECT_TRUE(has(option, *find_command(command)));
    EXPECT_TRUE(last_.status == k_answered || last_.status == k_risk_not_met) << last_.err;
    if (name == "--threads") {  // documented as speed alone
      EXPECT_EQ(was, is);
      return;
    }
    if (was != is) return;
    // What a text rounds away is in the numbers for programs.
    ASSERT_NE(command, "guide");
    EXPECT_NE(before(joined(words, args("--json"))), left_by(joined(more, args("--json"))));
  }

  void expect_refused(const std::string& line, const std::string& said) {
    left_by(args(line));
    EXPECT_TRUE(refused()) << line << last_.status << last_.err << last_.out;
    EXPECT_THAT(last_.err, HasSubstr(said)) << line;
  }

  TemporaryDirectory directory_;
  testing::Run last_;
  int files_ = 0;
  std::map<Args, std::string> known_;
};

TEST_F(IdleOptions, SlowEveryOptionOfEveryCommandIsHeededOrRefused) {
  for (const std::string& line : all_asked()) {
    before(args(line));
    ASSERT_EQ(last_.status, k_answered) << line << last_.err;
    for (const Option& option : option_table()) {
      SCOPED_TRACE(line + " --" + option.name);
      check(line, option);
    }
  }
}

// Which are refused, one by one, and what they say.
TEST_F(IdleOptions, EachIsRefusedWhereItDoesNothing) {
  for (const std::string command : {"fill", "heel"}) {
    expect_refused(command + "|CAR|--method|crude", "--method: is an option of chance, arrive");
    expect_refused(command + "|CAR|--cases|1e5", "--cases: is an option of chance, arrive");
    expect_refused(command + "|CAR|--precision|5 %", "--precision: does nothing above 1 %");
    left_by(args(command + "|CAR|--precision|0.5 %"));
    EXPECT_EQ(last_.status, k_answered) << last_.err;
  }
  expect_refused("table|CAR|TABLE|--method|crude", "--method: does nothing where amounts");
  expect_refused("table|CAR|TABLE|--show|heel|--cases|99", "--cases: does nothing where amounts");
  expect_refused("curve|CAR|CURVE|--show|amount|--precision|3 %", "does nothing above 1 %");
  expect_refused("curve|CAR|CURVE|--show|landed|--precision|3 %", "does nothing to landed");
  expect_refused("curve|CAR|CURVE|--scale|linear", "--scale: does nothing without a picture");
  expect_refused("curve|CAR|CURVE|--scale|linear|--output|DIR/answer.csv", "without a picture");
  expect_refused("curve|CAR|CURVE|--after|1 L", "--after: goes with --show arrival");
  expect_refused("chance|CAR|--json|--units|us", "--units: does nothing to numbers for programs");
  expect_refused("update|CAR|--reading|0.1 L: 40 %|--json|--units|us", "--units: does nothing");
  expect_refused("table|CAR|TABLE|--part|1/2", "--part: needs --output");
  expect_refused("table|CAR|TABLE|--part|1/2|--output|DIR/answer.csv|--json", "beside --part");
  expect_refused("arrive|CAR|--method|crude|--cases|2e6", "at most 1000000 is accepted");
  expect_refused("chance|CAR|--cases|1e9", "at most 134217728");
  for (const std::string more : {"--seed|2", "--json", "--require", "--tank.capacity|40 L"}) {
    expect_refused("table|--join|DIR/part.csv|" + more,
                   more.substr(0, more.find('|')) + ": does nothing beside --join");
  }
  expect_refused("learn|--log|DIR/tests.csv|--tank.capacity|40 L",
                 "--tank.capacity: does nothing without a scenario");
  expect_refused("learn|--log|DIR/tests.csv|--car|a", "--car: does nothing without a scenario");
  const std::string shop = "table|--cars|CAR|--pumps|DIR/pump.ini|";
  expect_refused(shop + "--rows|heel.indicated=2:4:1L", "--rows: does nothing beside --cars");
  expect_refused(shop + "--columns|heel.indicated=2:4:1L", "--columns: does nothing beside --cars");
  expect_refused(shop + "--show|chance|--units|us", "--units: does nothing to chances of cars");
  expect_refused(shop + "--part|1/2|--output|DIR/answer.svg", "--part: needs --output");
  expect_refused("table|CAR|TABLE|--output|DIR/answer.svg", "--output: a picture is of --cars");
}

TEST_F(IdleOptions, AnUnknownOptionPointsToTheHelpOfItsCommand) {
  for (const Command* known : commands()) {
    const std::string command = known->name;
    if (known->scenarios == Scenarios::none) continue;
    expect_refused(command + "|CAR|--no-such-thing",
                   "`blendrisk help " + command + "` lists what is accepted");
  }
}

}  // namespace
}  // namespace blendrisk::cli
