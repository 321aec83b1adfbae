#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

#include "answer/words.hpp"
#include "cli/page_module.hpp"
#include "tests/cli/temporary_files.hpp"
#include "tests/source_dir.hpp"

// chance, fill, heel, table and guide as a user calls them: the text, the JSON, the picture and the
// page say the same.
namespace blendrisk::cli {
namespace {

using nlohmann::json;
using testing::contents;
using testing::run_with;
using testing::TemporaryDirectory;

const std::string k_examples = testing::source_dir() + "/examples/";
// Few cases: what is compared is equal whatever the estimate is. What is solved for has its own.
const std::vector<std::string> k_few{"--cases", "1024"};

std::vector<std::string> with_few(std::vector<std::string> args) {
  const std::string& command = args.front();
  if (command == "fill" || command == "heel" || command == "table") return args;
  args.insert(args.end(), k_few.begin(), k_few.end());
  return args;
}

std::string text_of(const std::vector<std::string>& args) {
  return testing::text_of(with_few(args));
}

json answer_of(const std::vector<std::string>& args) {
  return testing::answer_of(with_few(args));
}

/// The words with one space between them, however the lines are broken.
std::string words(const std::string& text) {
  std::istringstream in(text);
  std::string all;
  for (std::string word; in >> word;) all += (all.empty() ? "" : " ") + word;
  return all;
}

std::string decimals(const json& value, int digits) {
  std::array<char, 40> text{};
  std::snprintf(text.data(), text.size(), "%.*f", digits, value.get<double>());
  return text.data();
}

void expect_said(const std::string& text, const std::string& wanted) {
  EXPECT_NE(text.find(wanted), std::string::npos) << wanted << "\nis not in\n" << text;
}

/// What is said where a file holds the answer.
void expect_written(const std::string& text, const std::string& path) {
  EXPECT_EQ(words(text), path + " is written. " + std::string(answer::words("caution.short")));
}

void fill_says_its_numbers(const std::vector<std::string>& args) {
  const json answer = answer_of(args);
  const std::string text = words(text_of(args));
  expect_said(text, "(all at their means) " + decimals(answer.at("nominal_amount"), 2) + " L");
  expect_said(text,
              "room in the tank, all at their means " + decimals(answer.at("room"), 2) + " L");
  if (answer.at("met").get<bool>()) {
    expect_said(text, decimals(answer.at("safe_amount"), 2) + " L as the dispenser shows it: " +
                          decimals(answer.at("margin"), 2) + " L more than the arithmetic says.");
    expect_said(text, " safe " + decimals(answer.at("safe_amount"), 2) + " L ");
    expect_said(text, " margin " + decimals(answer.at("margin"), 2) + " L");
  } else {
    expect_said(text, "NO AMOUNT WILL DO: " + answer.at("safe_amount_reason").get<std::string>());
    const json& instead = answer.at("instead");
    expect_said(text,
                "Run the tank down to " + decimals(instead.at("highest_indicated"), 1) + " L");
    expect_said(text, "drive down to " + decimals(instead.at("second_indicated"), 1) + " L");
    expect_said(text, "a tested content of " +
                          decimals(100.0 * instead.at("tested_content").get<double>(), 2) + " %");
  }
}

TEST(FillCommand, TextAndJsonSayTheSame) {
  for (const std::string name : {"wagon-line", "sedan", "back-to-gasoline", "van-two-fills"}) {
    SCOPED_TRACE(name);
    fill_says_its_numbers({"fill", k_examples + name + ".ini"});
  }
}

TEST(FillCommand, MarginCostsItsAmountTimesThePrice) {
  const std::vector<std::string> args{
      "fill", k_examples + "wagon-line.ini", "--fuel.price", "1.50 /L", "--limits.maximum",
      "75 %", "--limits.accepted-risk",      "5 %"};
  const json answer = answer_of(args);
  ASSERT_TRUE(answer.at("met").get<bool>());
  EXPECT_NEAR(answer.at("margin_cost").get<double>(), 1.5 * answer.at("margin").get<double>(),
              0.005);
  expect_said(words(text_of(args)),
              " L, costs " + decimals(answer.at("margin_cost"), 2) + " at the price given");
  fill_says_its_numbers(args);
}

TEST(HeelCommand, TextAndJsonSayTheSame) {
  for (const std::string name :
       {"hatchback-metered", "wagon-reading", "sedan", "back-to-gasoline"}) {
    SCOPED_TRACE(name);
    const json answer = answer_of({"heel", k_examples + name + ".ini"});
    const std::string text = words(text_of({"heel", k_examples + name + ".ini"}));
    expect_said(text, "arithmetic (all means) " + decimals(answer.at("nominal_highest"), 1) +
                          " L indicated");
    expect_said(text,
                "within the accepted risk " + decimals(answer.at("highest_indicated"), 1) + " L");
    expect_said(text, "within the dry risk " + decimals(answer.at("lowest_indicated"), 1) + " L");
    if (answer.at("met").get<bool>()) {
      EXPECT_EQ(answer.at("window")[0], answer.at("lowest_indicated"));
      EXPECT_EQ(answer.at("window")[1], answer.at("highest_indicated"));
      expect_said(text, "RUN DOWN TO " + decimals(answer.at("highest_indicated"), 1) + " L");
    } else {
      EXPECT_TRUE(answer.at("window").is_null());
      expect_said(text, "NO READING WILL DO: ");
    }
  }
}

TEST(HeelCommand, DistancesAreLeftWhereTheEconomyIsKnown) {
  const std::string car = k_examples + "hatchback-metered.ini";
  const json answer = answer_of({"heel", car});
  expect_said(words(text_of({"heel", car})),
              decimals(answer.at("highest_indicated"), 1) + " L indicated, " +
                  decimals(answer.at("highest_distance_left_km"), 0) + " km left");
}

TEST(ChanceCommand, PictureShowsTheLimitAndTellsTheChance) {
  const TemporaryDirectory directory;
  const std::string picture = directory.file("landed.svg");
  const std::vector<std::string> args{"chance", k_examples + "sedan.ini", "--limits.maximum",
                                      "80 %"};
  std::vector<std::string> drawing = args;
  drawing.insert(drawing.end(), {"--output", picture});
  const std::string text = text_of(drawing);
  const std::string svg = contents(picture);
  expect_said(svg, "Invented sedan, gasoline to E85");
  expect_said(svg, "minimum 62 %");
  expect_said(svg, "maximum 80 %");
  const std::string chance =
      decimals(100.0 * answer_of(args).at("outside").at("chance").get<double>(), 2) + " %";
  expect_said(text, chance);
  expect_said(svg, chance);
}

TEST(TableCommand, TextCsvAndJsonSayTheSame) {
  const TemporaryDirectory directory;
  const std::vector<std::string> args{"table",     k_examples + "sedan.ini",
                                      "--rows",    "heel.indicated=2:3:1L",
                                      "--columns", "fuel.content=74 %; 78 %"};
  const json cells = answer_of(args).at("cells");
  ASSERT_EQ(cells.size(), 2U);
  ASSERT_TRUE(cells[1][0].is_null());
  const std::string grid = words(text_of(args));
  const auto least = [&](std::size_t row, std::size_t column) {
    return decimals(cells[row][column].at("safe_amount"), 2);
  };
  expect_said(grid, "74 % 78 % 2 L " + least(0, 0) + " L " + least(0, 1) + " L 3 L none " +
                        least(1, 1) + " L ");
  std::vector<std::string> written = args;
  written.insert(written.end(), {"--output", directory.file("table.csv")});
  expect_written(text_of(written), directory.file("table.csv"));
  const std::string csv = contents(directory.file("table.csv"));
  EXPECT_TRUE(csv.starts_with("# " + std::string(answer::words("caution.short")) + "\nscenario,"))
      << csv;
  expect_said(csv, ",2 L,74 %," + least(0, 0) + ",,,\n");
  expect_said(csv, ",3 L,74 %,,,,no amount meets the accepted risk\n");
  expect_said(csv, ",3 L,78 %," + least(1, 1) + ",,,\n");
}

// A maximum binds too: text, JSON, CSV and `fill` tell the largest amount beside the least.
TEST(TableCommand, BothEndsAreToldWhereAMaximumBinds) {
  const TemporaryDirectory directory;
  const std::string car = k_examples + "sedan.ini";
  const std::vector<std::string> limits{"--limits.minimum", "60 %", "--limits.maximum", "72 %"};
  std::vector<std::string> args{"table",     car,
                                "--rows",    "heel.indicated=4 L; 6 L",
                                "--columns", "fuel.content=exact(74 %); exact(78 %)"};
  args.insert(args.end(), limits.begin(), limits.end());
  const json cells = answer_of(args).at("cells");
  std::vector<std::string> written = args;
  written.insert(written.end(), {"--output", directory.file("table.csv")});
  text_of(written);
  const std::string csv = contents(directory.file("table.csv"));
  const std::string grid = words(text_of(args));
  int both = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    const json& cell = cells[i / 2][i % 2];
    if (cell.is_null() || cell.at("largest_amount").is_null()) continue;
    ++both;
    const std::string reading = i < 2 ? "4 L" : "6 L";
    const std::string content = i % 2 == 0 ? "exact(74 %)" : "exact(78 %)";
    const std::string least = decimals(cell.at("safe_amount"), 2);
    const std::string largest = decimals(cell.at("largest_amount"), 2);
    expect_said(grid, least + " to " + largest + " L");
    std::vector<std::string> fill{"fill",           car,    "--heel.indicated", reading,
                                  "--fuel.content", content};
    fill.insert(fill.end(), limits.begin(), limits.end());
    const json alone = answer_of(fill);
    // A table's search takes fewer points.
    EXPECT_NEAR(alone.at("largest_amount").get<double>(), cell.at("largest_amount").get<double>(),
                0.005 * cell.at("largest_amount").get<double>());
    expect_said(words(text_of(fill)), decimals(alone.at("safe_amount"), 2) + " to " +
                                          decimals(alone.at("largest_amount"), 2) +
                                          " L as the dispenser shows it");
    std::size_t lines = 0;
    std::istringstream in(csv);
    for (std::string line; std::getline(in, line);) {
      if (line.find("," + reading + "," + content + ",") == std::string::npos) continue;
      ++lines;
      const std::string numbers = line.substr(line.find(content) + content.size() + 1);
      EXPECT_EQ(std::stod(numbers), cell.at("safe_amount").get<double>()) << line;
      EXPECT_EQ(std::stod(numbers.substr(numbers.find(',') + 1)),
                cell.at("largest_amount").get<double>())
          << line;
    }
    EXPECT_EQ(lines, 1U);
  }
  EXPECT_GE(both, 2);
}

TEST(TableCommand, RequireAsksEveryCell) {
  const auto status = [](const std::string& readings) {
    return run_with({"table", k_examples + "sedan.ini", "--rows", "heel.indicated=" + readings,
                     "--columns", "fuel.content=78 %", "--require"})
        .status;
  };
  EXPECT_EQ(status("2 L; 3 L"), k_answered);
  EXPECT_EQ(status("2 L; 40 L"), k_risk_not_met);
}

// A file does not spare the judgement, of a part that of its cells.
TEST(TableCommand, RequireAsksWhatGoesIntoAFile) {
  const TemporaryDirectory directory;
  const auto status = [&](const std::string& readings, std::vector<std::string> more) {
    more.insert(more.begin(), {"table", k_examples + "sedan.ini", "--rows",
                               "heel.indicated=" + readings, "--columns", "fuel.content=78 %",
                               "--output", directory.file("table.csv"), "--require"});
    return run_with(more).status;
  };
  EXPECT_EQ(status("2 L; 3 L", {}), k_answered);
  EXPECT_EQ(status("2 L; 40 L", {}), k_risk_not_met);
  EXPECT_EQ(status("2 L; 40 L", {"--part", "1/2"}), k_answered);
  EXPECT_EQ(status("2 L; 40 L", {"--part", "2/2"}), k_risk_not_met);
}

// Data in a file do not keep the numbers from a program that asks for them.
TEST(TableCommand, JsonComesBesideTheFile) {
  const TemporaryDirectory directory;
  const json beside =
      answer_of({"table", k_examples + "sedan.ini", "--rows", "heel.indicated=2:3:1L", "--columns",
                 "fuel.content=78 %", "--output", directory.file("table.csv")});
  EXPECT_EQ(beside.at("cells").size(), 2U);
  EXPECT_TRUE(std::filesystem::exists(directory.file("table.csv")));
}

// Nothing but where the nozzle clicks off is uncertain in the first column, so that cases are
// counted there, and nothing at all in the second row of it.
TEST(TableCommand, MethodIsWhatWasUsed) {
  const auto method = [](const std::string& rows, const std::string& columns,
                         std::vector<std::string> more = {}) {
    more.insert(more.begin(),
                {"table", k_examples + "sedan.ini", "--heel.content", "8 %", "--heel.gauge-error",
                 "0 L", "--fuel.hose-volume", "1 L", "--fuel.hose-content", "8 %", "--rows",
                 "tank.click-off=" + rows, "--columns", "fuel.content=" + columns, "--show",
                 "chance", "--cases", "20000"});
    return answer_of(more).at("method").get<std::string>();
  };
  const std::string varies = "normal(55 L, 0.5 L)";
  EXPECT_EQ(method("exact(55 L)", "exact(76 %)"), "exact");
  EXPECT_EQ(method(varies, "exact(70.5 %)"), "crude");
  EXPECT_EQ(method(varies, "uniform(68 %, 83 %)"), "conditional");
  EXPECT_EQ(method(varies, "uniform(68 %, 83 %)", {"--method", "crude"}), "crude");
  EXPECT_EQ(method("exact(55 L); " + varies, "exact(70.5 %); uniform(68 %, 83 %)"),
            "exact and conditional and crude");
}

// Where nothing will do, too: cases are counted where the nozzle alone is uncertain.
TEST(FillCommand, MethodIsWhatWasUsedWhereNoAmountWillDo) {
  for (const std::string command : {"fill", "heel"}) {
    const json answer = answer_of({command, k_examples + "sedan.ini", "--heel.content", "8 %",
                                   "--heel.gauge-error", "0 L", "--fuel.hose-volume", "1 L",
                                   "--fuel.hose-content", "8 %", "--fuel.content", "62.5 %"});
    EXPECT_FALSE(answer.at("met").get<bool>()) << command;
    EXPECT_EQ(answer.at("method"), "points and crude") << command;
  }
}

TEST(DriversCommand, MethodIsWhatWasUsed) {
  const std::string car = k_examples + "sedan.ini";
  EXPECT_EQ(answer_of({"drivers", car}).at("method"), "conditional");
  // Amounts are solved for by the fast method whatever is asked.
  EXPECT_EQ(answer_of({"drivers", car, "--method", "crude"}).at("method"), "conditional and crude");
}

TEST(TableCommand, PartsJoinToTheWhole) {
  const TemporaryDirectory directory;
  const auto written = [&](const std::string& name, const std::vector<std::string>& more) {
    std::vector<std::string> args{
        "table",     k_examples + "sedan.ini", "--rows",   "heel.indicated=2:4:1L",
        "--columns", "fuel.content=78 %",      "--output", directory.file(name)};
    args.insert(args.end(), more.begin(), more.end());
    text_of(args);
    return directory.file(name);
  };
  const std::string first = written("1.csv", {"--part", "1/2"});
  const std::string second = written("2.csv", {"--part", "2/2"});
  const auto joined = run_with({"table", "--join", second, first});
  EXPECT_EQ(joined.status, k_answered) << joined.err;
  EXPECT_EQ(joined.out, contents(written("whole.csv", {})));
  const std::string whole = directory.file("joined.csv");
  expect_written(text_of({"table", "--join", second, first, "--output", whole}), whole);
  EXPECT_EQ(contents(whole), joined.out);
  const auto torn = run_with({"table", "--join", first});
  EXPECT_EQ(torn.status, k_bad_input);
}

/// Every number of the page that names its source: the source's path and the value.
std::multimap<std::string, double> numbers_of(const std::string& page) {
  static const std::regex number(R"re(<data[^>]*data-source="([^"]*)" value="([^"]*)")re");
  std::multimap<std::string, double> found;
  for (std::sregex_iterator at(page.begin(), page.end(), number), end; at != end; ++at) {
    found.emplace((*at)[1], std::stod((*at)[2]));
  }
  return found;
}

std::string page_of(const TemporaryDirectory& directory, std::vector<std::string> args) {
  const std::string path = directory.file("guide.html");
  args.insert(args.begin(), "guide");
  args.insert(args.end(), {"--static", "--output", path});
  expect_written(text_of(args), path);
  return contents(path);
}

TEST(GuideCommand, ComputesOrSaysThatItDoesNot) {
  const TemporaryDirectory directory;
  const std::string path = directory.file("guide.html");
  const std::string said = words(text_of({"guide", k_examples + "sedan.ini", "--output", path}));
  const bool computes = !page_module().empty();
  EXPECT_EQ(contents(path).find("<script") != std::string::npos, computes);
  EXPECT_EQ(said.find(answer::words("guide.static")) == std::string::npos, computes);
}

TEST(GuideCommand, NumbersAreThoseOfTheCommands) {
  const TemporaryDirectory directory;
  for (const std::string name : {"wagon-line", "sedan", "van-two-fills"}) {
    SCOPED_TRACE(name);
    const std::string car = k_examples + name + ".ini";
    const auto numbers = numbers_of(page_of(directory, {car}));
    EXPECT_GE(numbers.size(), 5U);
    std::map<std::string, json> answers;
    for (const auto& [source, value] : numbers) {
      const auto slash = source.find('/');
      const std::string command = source.substr(0, slash);
      if (command == "table") continue;  // has its own test, in a browser
      if (!answers.contains(command)) answers[command] = answer_of({command, car});
      EXPECT_EQ(answers[command].at(json::json_pointer(source.substr(slash))), json(value))
          << source;
    }
  }
}

TEST(GuideCommand, TextsOfTheScenarioAreNoMarkup) {
  const TemporaryDirectory directory;
  const std::string car =
      directory.write("car.ini",
                      "# Invented car whose texts try things\n"
                      "title = <script>alert(1)</script> 'a' \"b\" & {/Bold x}\n"
                      "[tank]\ncapacity = 50 L\n"
                      "[heel]\nindicated = 4 L  # <img src=x onerror=alert(2)>\n"
                      "gauge-error = normal(0 L, 1 L)\ncontent = 8 %\n"
                      "[fuel]\ncontent = uniform(70 %, 82 %)\n"
                      "[line]\nfilter = 0.2 L\n[engine]\nidle = 1 L/h\n"
                      "[limits]\nminimum = 60 %\n");
  for (const std::string units : {"metric", "us"}) {
    const std::string page = page_of(directory, {car, "--units", units});
    EXPECT_EQ(page.find("<script"), std::string::npos);
    EXPECT_EQ(page.find("<img src=x"), std::string::npos);
    expect_said(page, "&lt;script&gt;alert(1)&lt;/script&gt;");
    expect_said(page, "&lt;img src=x onerror=alert(2)&gt;");
  }
}

TEST(GuideCommand, AFillDoneBeforeOneToPlanAndAMissingNameAreRefused) {
  const TemporaryDirectory directory;
  const auto several =
      run_with({"guide", k_examples + "van-two-fills.ini", "--fill.shown", "45 L",
                "--fill.stopped-by", "hand", "--output", directory.file("guide.html")});
  EXPECT_EQ(several.status, k_bad_input);
  expect_said(several.err, "fill.shown");
  EXPECT_FALSE(std::filesystem::exists(directory.file("guide.html")));
  const auto nameless = run_with({"guide", k_examples + "sedan.ini"});
  EXPECT_EQ(nameless.status, k_bad_input);
  expect_said(nameless.err, "--output is needed, a name ending in .html");
}

}  // namespace
}  // namespace blendrisk::cli
