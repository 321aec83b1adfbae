#include "cli/completion.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <set>

#include "cli/command.hpp"
#include "cli/help.hpp"
#include "cli/scenario_file.hpp"
#include "scenario/keys.hpp"
#include "text/csv.hpp"
#include "text/pieces.hpp"

namespace blendrisk::cli {
namespace {

bool is_control(char c) {
  return static_cast<unsigned char>(c) < 0x20 || c == 0x7F;
}

/// A line in words as a shell takes it apart; the last is the one at the cursor.
struct Line {
  std::vector<std::string> words{""};
  char open = '\0';  ///< the quote that the last word stands in

  explicit Line(const std::string& line) {
    for (std::size_t i = line.find_first_not_of(' '); i < line.size(); ++i) {
      const char c = line[i];
      if (open != '\0' ? c == open : c == '"' || c == '\'') {
        open = open == '\0' ? c : '\0';
      } else if (c == '\\' && open != '\'') {
        if (++i < line.size()) words.back() += line[i];
      } else if (c != ' ' || open != '\0') {
        words.back() += c;
      } else if (!words.back().empty()) {
        words.emplace_back();
      }
    }
  }
};

/// Words that a key takes beside or in place of numbers.
std::vector<std::string> words_of_key(const scenario::Key& key) {
  if (key.kind == scenario::Kind::amount) return {"click-off"};
  if (key.kind == scenario::Kind::stopped_by) return {"click-off", "hand"};
  if (key.kind == scenario::Kind::pipe_flow) return {"laminar", "plug"};
  return {};
}

/// The names at the head of a CSV file, none where there is no such file.
std::vector<std::string> columns_of(const std::string& path) {
  std::error_code none;
  std::string header;
  if (!std::filesystem::is_regular_file(path, none)) return {};
  std::ifstream file(path);
  std::getline(file, header);
  std::erase_if(header, is_control);
  const auto names = text::pieces(header, text::separator_of(header));
  return {names.begin(), names.end()};
}

class Completion {
 public:
  explicit Completion(const Line& line) : words_(line.words), stem_(words_.back()) {
    const std::string& command = words_.size() > 1 ? words_[1] : "";
    if (words_.size() == 2) {
      offer_commands({"--help", "--version"});
    } else if (command == "help" || command == "--help") {
      if (words_.size() == 3) offer_commands({"keys"});
    } else if (const Command* known = find_command(command)) {
      after(*known);
    }
    const std::string quote = line.open == '\0' ? "" : std::string(1, line.open);
    text_ = quote + words_.back() + "\n" + stem_ + "\n" + text_;
  }

  const std::string& text() const { return text_; }

 private:
  void offer(const std::string& word) {
    if (word.starts_with(stem_)) text_ += head_ + word + "\n";
  }

  void offer_commands(const std::vector<std::string>& more) {
    for (const std::string& name : command_names()) offer(name);
    for (const std::string& word : more) offer(word);
  }

  void offer_files(const std::string& endings) {
    text_ += "*/\n";
    for (const std::string& ending : words_of(endings)) text_ += "*" + ending + "\n";
  }

  /// Keys that are not on the line, by section until a section is chosen.
  void offer_keys(const std::string& before, const std::string& after, bool numbers_alone) {
    std::string last;
    for (const scenario::Key& key : scenario::keys()) {
      if (numbers_alone && !has_number(key)) continue;
      std::string word = before + key.full_name() + after;
      if (!word.starts_with(stem_) || seen_.contains(word)) continue;
      const std::string section = before + key.section + ".";
      if (!key.section.empty() && !stem_.starts_with(section)) word = section;
      if (word != last) offer(word);
      last = word;
    }
  }

  /// Reads what stands before the cursor. @return the option whose value stands there, or nothing
  std::string option_before() {
    std::string option;
    for (std::size_t i = 2; i + 1 < words_.size(); ++i) {
      const std::string& word = words_[i];
      const std::size_t equals = word.find('=');
      const std::string name = word.substr(0, equals);
      if (!option.empty()) {
        if (option == "--log") log_ = word;
        option.clear();
      } else if (!word.starts_with("--")) {
        if (files_++ == 0 && word.ends_with(".csv")) log_ = word;
      } else if (seen_.insert(name); equals != std::string::npos) {
        if (name == "--log") log_ = word.substr(equals + 1);
      } else if (const Option* known = find_option(name.substr(2));
                 known == nullptr || known->argument != nullptr) {
        option = name;
      }
    }
    const std::size_t equals = stem_.find('=');
    if (option.empty() && stem_.starts_with("--") && equals != std::string::npos) {
      option = stem_.substr(0, equals);
      head_ = option + "=";
      stem_.erase(0, equals + 1);
    }
    return option;
  }

  void after(const Command& command) {
    const std::string option = option_before();
    if (!option.empty()) {
      offer_value(command, option.substr(2));
    } else if (stem_.starts_with('-')) {
      offer_options(command);
    } else if (command.scenarios == Scenarios::several) {
      offer_files(seen_.contains("--join") ? ".csv" : files_ == 0 ? command.first_file : ".ini");
    } else if (command.scenarios != Scenarios::none && files_ == 0) {
      offer_files(".ini");
    } else if (stem_.empty()) {
      offer_options(command);
    }
  }

  void offer_options(const Command& command) {
    for (const Option& option : option_table()) {
      const std::string word = "--" + std::string(option.name);
      const bool again = may_be_repeated(option.name) || !seen_.contains(word);
      if (again && has(option, command)) offer(word);
    }
    if (command.scenarios != Scenarios::none) offer_keys("--", "", false);
  }

  void offer_value(const Command& command, const std::string& name) {
    if (const scenario::Key* key = scenario::find_key(name)) {
      for (const std::string& word : words_of_key(*key)) offer(word);
    }
    const Option* option = find_option(name);
    if (option == nullptr || option->argument == nullptr || !has(*option, command)) return;
    const std::string_view argument = option->argument;
    for (const std::string& word : accepted_words(*option, command)) offer(word);
    if (argument == "AXIS" && stem_.find('=') == std::string::npos) offer_keys("", "=", true);
    if (argument == "FILES") offer_files(".ini");
    if (argument == "FILE") offer_files(name == "output" ? command.output : ".csv");
    if (name == "readings") offer("-");
    if (name == "changes") offer_files(".csv");
    const bool cells = argument == "COLUMN=VALUE" && stem_.find('=') == std::string::npos;
    if (argument == "COLUMN" || cells) {
      for (const std::string& column : columns_of(log_)) offer(column + (cells ? "=" : ""));
    }
  }

  const std::vector<std::string>& words_;
  std::string head_;  ///< an option and = before the word to complete
  std::string stem_;
  std::set<std::string> seen_;
  std::string log_;
  int files_ = 0;
  std::string text_;
};

}  // namespace

std::string completions(const std::string& line) {
  if (std::ranges::any_of(line, is_control)) return "";
  return Completion(Line(line)).text();
}

}  // namespace blendrisk::cli
