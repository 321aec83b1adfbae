#include "cli/completion.hpp"

#include <string_view>
#include <vector>

#include "cli/help.hpp"
#include "cli/option_table.hpp"
#include "scenario/keys.hpp"

namespace blendrisk::cli {
namespace {

/// The part that no table changes. Words that `=` or `:` parts are put together first, since Bash
/// hands them over in pieces and replaces only the last piece.
constexpr const char* k_functions = R"bash(
# Words up to the cursor, put together across = and :, into `words`.
_blendrisk_split() {
  local line=$COMP_LINE i word
  words=()
  for ((i = 0; i <= COMP_CWORD; i++)); do
    word=${COMP_WORDS[i]}
    if ((i > 0)) && [[ $line != [[:space:]]* && ($word == [=:]* || ${words[-1]} == *[=:]) ]]; then
      words[-1]+=$word
    else
      words+=("$word")
      line=${line#"${line%%[![:space:]]*}"}
    fi
    line=${line#"$word"}
  done
}

# Offers those of the further arguments that begin with the word at the cursor.
_blendrisk_offer() {
  local word
  for word; do
    [[ $word != "$cur"* ]] || COMPREPLY+=("$word")
  done
}

# Offers those of the keys $3 that are not on the line, between $1 and $2, by section until a section
# is chosen.
_blendrisk_offer_keys() {
  local key word last=
  for key in $3; do
    word=$1$key$2
    [[ $word == "$cur"* && $seen != *" $word "* ]] || continue
    [[ $key != *.* || $cur == "$1${key%%.*}."* ]] || word=$1${key%%.*}.
    [[ $word == "$last" ]] || COMPREPLY+=("$word")
    last=$word
  done
}

# Offers directories, and files whose names end in one of the arguments.
_blendrisk_offer_files() {
  local ending name found=()
  compopt -o filenames 2>/dev/null
  mapfile -t found < <(compgen -d -- "$cur")
  for ending; do
    while IFS= read -r name; do
      [[ -d $name ]] || found+=("$name")
    done < <(compgen -f -X "!*$ending" -- "$cur")
  done
  COMPREPLY+=("${found[@]}")
}

# Offers the names of columns of the file $1.
_blendrisk_offer_columns() {
  local header columns
  [[ -f $1 && -r $1 ]] && IFS= read -r header <"$1" || return
  IFS=, read -ra columns <<<"${header%$'\r'}"
  _blendrisk_offer "${columns[@]}"
}

_blendrisk_offer_value() {
  _blendrisk_words_of "$command" "$1"
  if ((${#accepted[@]} > 0)); then
    _blendrisk_offer "${accepted[@]}"
    return
  fi
  case $_blendrisk_axes in
    *" $1 "*)
      if [[ $cur != *=* ]]; then _blendrisk_offer_keys '' = "$_blendrisk_number_keys"; fi
      return
      ;;
  esac
  _blendrisk_endings_of "$command" "$1"
  if ((${#accepted[@]} > 0)); then
    _blendrisk_offer_files "${accepted[@]}"
    if [[ $1 == --readings ]]; then _blendrisk_offer -; fi
  elif [[ $1 == --group ]]; then
    _blendrisk_offer_columns "$log"
  fi
}

# Offers options of the command that are not on the line yet.
_blendrisk_offer_options() {
  local option
  _blendrisk_options_of "$command"
  for option in "${accepted[@]}"; do
    [[ $seen == *" $option "* && $option != --reading ]] || _blendrisk_offer "$option"
  done
  case $_blendrisk_keyed in
    *" $command "*) _blendrisk_offer_keys -- '' "$_blendrisk_keys" ;;
  esac
}

# The word at the cursor, after a command.
_blendrisk_after_command() {
  local word option='' log='' seen=' ' given=0 head=''
  for word in "${words[@]:2:${#words[@]}-3}"; do
    if [[ $option ]]; then
      [[ $option != --pump-tests ]] || log=$word
      option=
    elif [[ $word == --*=* ]]; then
      seen+="${word%%=*} "
      [[ $word != --pump-tests=* ]] || log=${word#*=}
    elif [[ $word == --* ]]; then
      seen+="$word "
      [[ $_blendrisk_switches == *" $word "* ]] || option=$word
    else
      ((++given))
    fi
  done
  if [[ ! $option && $cur == --*=* ]]; then
    head=${cur%%=*}=
    option=${cur%%=*}
    cur=${cur#*=}
  fi
  if [[ $option ]]; then
    _blendrisk_offer_value "$option"
    COMPREPLY=("${COMPREPLY[@]/#/$head}")
  elif [[ $cur == -* ]]; then
    _blendrisk_offer_options
  elif [[ $command == table ]]; then
    if [[ $seen == *' --join '* ]]; then _blendrisk_offer_files .csv; else _blendrisk_offer_files .ini; fi
  elif [[ $_blendrisk_keyed == *" $command "* && $given == 0 ]]; then
    _blendrisk_offer_files .ini
  elif [[ ! $cur ]]; then
    _blendrisk_offer_options
  fi
}

_blendrisk() {
  local cur whole tail command words accepted=() IFS=$' \t\n'
  COMPREPLY=()
  _blendrisk_split
  whole=${words[-1]}
  # A word in quotes is matched without them; Bash puts them back.
  cur=${whole#[\"\']}
  cur=${cur//\\/}
  command=${words[1]}
  if ((${#words[@]} == 2)); then
    _blendrisk_offer $_blendrisk_commands --help --version
  elif [[ $command == help || $command == --help ]]; then
    if ((${#words[@]} == 3)); then _blendrisk_offer $_blendrisk_commands keys; fi
  elif [[ " $_blendrisk_commands " == *" $command "* ]]; then
    _blendrisk_after_command
  fi
  # No space after the beginning of a key or an axis.
  if ((${#COMPREPLY[@]} == 1)) && [[ ${COMPREPLY[0]} == *[.=] ]]; then
    compopt -o nospace 2>/dev/null
  fi
  # Bash replaces only what follows the last of these characters.
  tail=${whole##*[=:]}
  if [[ $whole != "$tail" && $COMP_WORDBREAKS == *"${whole:${#whole}-${#tail}-1:1}"* ]]; then
    COMPREPLY=("${COMPREPLY[@]#"${whole%"$tail"}"}")
  fi
} && complete -F _blendrisk blendrisk
)bash";

/// Commands that read a scenario, and so have its keys as options.
bool reads_scenario(std::string_view command) {
  return command != "new";
}

std::string spaced(const std::vector<std::string>& words) {
  std::string all;
  for (const std::string& word : words) all += (all.empty() ? "" : " ") + word;
  return all;
}

std::string assignment(const std::string& name, const std::string& value) {
  return "_blendrisk_" + name + "='" + value + "'\n";
}

/// A function that puts words into `accepted`, by what it is called with.
class Cases {
 public:
  explicit Cases(const std::string& name, const std::string& subject)
      : text_("\n_blendrisk_" + name + "() {\n  case " + subject + " in\n") {}

  void add(const std::string& pattern, const std::vector<std::string>& words) {
    if (!words.empty()) text_ += "    " + pattern + ") accepted=(" + spaced(words) + ") ;;\n";
  }

  std::string text() const { return text_ + "    *) accepted=() ;;\n  esac\n}\n"; }

 private:
  std::string text_;
};

std::vector<std::string> options_of(const std::string& command) {
  std::vector<std::string> names;
  for (const Option& option : option_table()) {
    if (has(option, command)) names.push_back("--" + std::string(option.name));
  }
  return names;
}

/// Words that a key takes beside or in place of numbers.
std::vector<std::string> words_of(const scenario::Key& key) {
  if (key.kind != scenario::Kind::amount && key.kind != scenario::Kind::pipe_flow) return {};
  constexpr std::string_view between = " or ";
  const std::string text = scenario::kind_text(key);
  const std::size_t at = text.find(between);
  if (key.kind == scenario::Kind::amount) return {text.substr(0, at)};
  return {text.substr(0, at), text.substr(at + between.size())};
}

bool takes(const Option& option, std::string_view argument) {
  return option.argument != nullptr && option.argument == argument;
}

std::string lists() {
  std::vector<std::string> keyed;
  std::vector<std::string> switches;
  std::vector<std::string> axes;
  std::vector<std::string> keys;
  std::vector<std::string> number_keys;
  for (const Topic& topic : topics()) {
    if (reads_scenario(topic.command)) keyed.emplace_back(topic.command);
  }
  for (const Option& option : option_table()) {
    const std::string name = "--" + std::string(option.name);
    if (option.argument == nullptr) switches.push_back(name);
    if (takes(option, "AXIS")) axes.push_back(name);
  }
  for (const scenario::Key& key : scenario::keys()) {
    keys.push_back(key.full_name());
    using scenario::Kind;
    if (key.kind == Kind::quantity || key.kind == Kind::gauge || key.kind == Kind::uncertain ||
        key.kind == Kind::amount) {
      number_keys.push_back(key.full_name());
    }
  }
  return assignment("commands", spaced(command_names())) +
         assignment("keyed", " " + spaced(keyed) + " ") +
         assignment("switches", " " + spaced(switches) + " ") +
         assignment("axes", " " + spaced(axes) + " ") + assignment("keys", spaced(keys)) +
         assignment("number_keys", spaced(number_keys));
}

std::string functions() {
  Cases options("options_of", "$1");
  Cases words("words_of", "\"$1 $2\"");
  Cases endings("endings_of", "\"$1 $2\"");
  for (const Topic& topic : topics()) {
    const std::string command = topic.command;
    options.add(command, options_of(command));
    if (!reads_scenario(command)) continue;
    for (const Option& option : option_table()) {
      if (!has(option, command)) continue;
      const std::string pattern = "'" + command + " --" + option.name + "'";
      if (takes(option, "NAME")) words.add(pattern, accepted_words(command, option.name));
      if (!takes(option, "FILE")) continue;
      const bool output = std::string_view(option.name) == "output";
      endings.add(pattern, output ? output_endings(command) : std::vector<std::string>{".csv"});
    }
  }
  for (const scenario::Key& key : scenario::keys()) {
    words.add("*' --" + key.full_name() + "'", words_of(key));
  }
  return options.text() + words.text() + endings.text();
}

}  // namespace

std::string bash_completion() {
  return "# Completion for blendrisk in Bash, made from the tables of the program.\n" + lists() +
         functions() + k_functions;
}

}  // namespace blendrisk::cli
