#include "cli/option_table.hpp"

#include <algorithm>
#include <array>
#include <iterator>

namespace blendrisk::cli {
namespace {

constexpr const char* k_drawn = "chance fill heel arrive update drivers table curve guide";
constexpr const char* k_answers = "chance fill heel arrive update drivers table curve learn";
constexpr const char* k_judged = "chance fill heel arrive update table";
constexpr const char* k_chances = "chance arrive drivers table curve guide";
constexpr const char* k_estimates = "chance fill heel arrive drivers table curve guide";

constexpr auto k_options = std::to_array<Option>({
    {"json", nullptr, "one JSON object on standard output", k_answers},
    {"seed", "N", "seed of the draws, default 1; the same seed gives the same answer", k_drawn},
    {"threads", "N", "threads to use, default as many as the machine has", k_drawn},
    {"precision", "P", "relative standard error to reach, default 1 %", k_estimates},
    {"cases", "N", "a fixed number of cases instead, at least 32", k_chances},
    {"method", "NAME", "conditional (default) or plain", k_chances},
    {"units", "NAME", "metric (default) or us: of texts and pictures, and what displays show",
     k_drawn},
    {"reading", "TEXT", R"("0.3 L: 57 %" or "4 min: 57 %"; repeated for more)", "update"},
    {"readings", "FILE", "a .csv log of readings, or - for standard input", "update"},
    {"pump-tests", "FILE", "a .csv of tests with a column content_percent", "learn"},
    {"group", "COLUMN", "with --pump-tests: a law for each value of a column, too", "learn"},
    {"changeover", "FILE", "a .csv log with time_s, reading_percent, fuel_rate_l_per_h", "learn"},
    {"rows", "AXIS", "key and values down the table: heel.indicated=2:20:1L", "table"},
    {"columns", "AXIS", R"(across: "fuel.content=70 %; 75 %; 80 %")", "table"},
    {"along", "AXIS", "key and values of the curve: heel.indicated=2:20:0.5L", "curve"},
    {"by", "AXIS", R"(one curve a value: "fuel.content=74 %; 78 %")", "curve"},
    {"after", "MOMENT", R"(for --show arrival: "0.4 L" burned, or "10 min")", "curve"},
    {"scale", "NAME", "log (default) or linear, of chances", "curve"},
    {"show", "NAME",
     "table: amount (default), heel, chance; curve: chance (default), amount, landed, arrival",
     "table curve"},
    {"part", "K/N", "compute the K-th of N shares, for --join", "table"},
    {"join", nullptr, "put the files of parts together", "table"},
    {"output", "FILE",
     "write a file, whole or not at all: a picture (.svg, .png, .pdf), data (.csv), a page (.html)",
     "chance arrive drivers curve table guide"},
    {"require", nullptr, "exit with 3 where the accepted risk is not met", k_judged},
    {"back", nullptr, "the way back, from high-ethanol fuel to gasoline, with a maximum", "new"},
    {"help", nullptr, "help on the command"},
    {"version", nullptr, "version of the program"},
});

template <class T>
std::vector<std::string> names(const Words<T>& words) {
  std::vector<std::string> result;
  for (const auto& [name, value] : words) result.push_back(name);
  return result;
}

}  // namespace

std::span<const Option> option_table() {
  return k_options;
}

bool has(const Option& option, std::string_view command) {
  if (option.only == nullptr) return true;
  const std::string all = " " + std::string(option.only) + " ";
  return all.find(" " + std::string(command) + " ") != std::string::npos;
}

std::string joined(const std::string& words) {
  const std::size_t last = words.rfind(' ');
  if (last == std::string::npos) return words;
  std::string text;
  for (std::size_t at = 0; at < last; ++at) {
    if (words[at] == ' ') text += ',';
    text += words[at];
  }
  return text + " and " + words.substr(last + 1);
}

const Words<estimate::Method>& method_words() {
  static const Words<estimate::Method> words{{"conditional", estimate::Method::conditional},
                                             {"plain", estimate::Method::plain}};
  return words;
}

const Words<report::UnitSystem>& unit_words() {
  static const Words<report::UnitSystem> words{{"metric", report::UnitSystem::metric},
                                               {"us", report::UnitSystem::us}};
  return words;
}

const Words<bool>& scale_words() {
  static const Words<bool> words{{"log", false}, {"linear", true}};
  return words;
}

const Words<decide::Show>& table_show_words() {
  static const Words<decide::Show> words{{"amount", decide::Show::amount},
                                         {"heel", decide::Show::heel},
                                         {"chance", decide::Show::chance}};
  return words;
}

const Words<decide::CurveShow>& curve_show_words() {
  using decide::CurveShow;
  static const Words<CurveShow> words{{"chance", CurveShow::chance},
                                      {"amount", CurveShow::amount},
                                      {"landed", CurveShow::landed},
                                      {"arrival", CurveShow::arrival}};
  return words;
}

std::vector<std::string> accepted_words(std::string_view command, std::string_view option) {
  if (option == "method") return names(method_words());
  if (option == "units") return names(unit_words());
  if (option == "scale") return names(scale_words());
  if (option != "show") return {};
  return command == "curve" ? names(curve_show_words()) : names(table_show_words());
}

std::vector<std::string> output_endings(const std::string& command) {
  static const std::map<std::string, std::vector<std::string>> endings{
      {"table", {".csv"}},
      {"curve", {".csv", ".svg", ".png", ".pdf"}},
      {"chance", {".svg", ".png", ".pdf"}},
      {"arrive", {".svg", ".png", ".pdf"}},
      {"drivers", {".svg", ".png", ".pdf"}},
      {"guide", {".html"}}};
  const auto found = endings.find(command);
  return found == endings.end() ? std::vector<std::string>() : found->second;
}

}  // namespace blendrisk::cli
