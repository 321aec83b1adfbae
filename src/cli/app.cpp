#include "cli/app.hpp"

#include <algorithm>
#include <cerrno>
#include <map>
#include <new>
#include <ostream>
#include <system_error>

#include "cli/commands.hpp"
#include "cli/help.hpp"
#include "cli/options.hpp"
#include "scenario/keys.hpp"
#include "scenario/quoting.hpp"
#include "scenario/read.hpp"
#include "version.hpp"

namespace blendrisk::cli {
namespace {

using CommandWords = std::vector<std::string>;

std::string version_text() {
  return std::string("blendrisk ") + k_version + "\n";
}

Answer answer_help(const CommandWords& rest) {
  if (rest.size() > 1) {
    throw UsageError("help: " + scenario::in_quotes(rest[1]) +
                     " is one too many; one topic is accepted");
  }
  const bool on_itself = rest.empty() || rest.front() == "--help";
  return {help_text(on_itself ? "" : rest.front()), k_answered};
}

using Command = Answer (*)(const Arguments&, std::ostream&);

/// The commands that read a scenario.
const std::map<std::string, Command> k_commands{
    {"chance", answer_chance},   {"fill", answer_fill},   {"heel", answer_heel},
    {"arrive", answer_arrive},   {"table", answer_table}, {"curve", answer_curve},
    {"drivers", answer_drivers}, {"guide", answer_guide}, {"learn", answer_learn}};

/// What a command reads from and writes to beside its answer.
struct Streams {
  std::istream& in;
  std::ostream& out;
  std::ostream& err;
};

Answer answer_with_scenario(const std::string& command, const CommandWords& rest,
                            Streams& streams) {
  if (!rest.empty() && rest.front() == "--help" && rest.size() == 2 && rest[1] == "keys") {
    return answer_help({"keys"});
  }
  const Arguments arguments = parse_arguments(command, rest);
  if (arguments.help) return {help_text(command), k_answered};
  if (arguments.version) return {version_text(), k_answered};
  if (command == "update") {
    return answer_update(arguments, streams.in, streams.out, streams.err);
  }
  return k_commands.at(command)(arguments, streams.err);
}

Answer answer(const CommandWords& args, Streams streams) {
  if (args.empty()) {
    throw UsageError("no command; " + listed_commands("help") +
                     " are accepted, as in `blendrisk help`");
  }
  const std::string& command = args.front();
  const CommandWords rest(args.begin() + 1, args.end());
  if (command == "--help" || command == "help") return answer_help(rest);
  if (command == "--version") {
    if (!rest.empty()) throw UsageError("--version: stands alone; no other arguments are accepted");
    return {version_text(), k_answered};
  }
  if (command == "update" || k_commands.contains(command)) {
    return answer_with_scenario(command, rest, streams);
  }
  if (command == "new") {
    const Arguments arguments = parse_arguments(command, rest);
    if (arguments.help) return {help_text(command), k_answered};
    return arguments.version ? Answer{version_text(), k_answered} : answer_new(arguments.back);
  }
  if (command.starts_with("-")) {
    throw UsageError("the command comes first, not " + scenario::in_quotes(command) + "; " +
                     listed_commands("help") + ", or --help or --version are accepted");
  }
  throw UsageError("unknown command " + scenario::in_quotes(command) +
                   scenario::nearest_note(command, command_names()) + "; " +
                   listed_commands("help") + " are accepted");
}

int complain(std::ostream& err, const std::string& what, int status) {
  // Whatever a message quotes, it stays one line.
  err << "blendrisk: " << scenario::escaped(what) << std::endl;
  return status;
}

int write(const Answer& answer, std::ostream& out, std::ostream& err) {
  errno = 0;
  out << answer.text << std::flush;
  if (out) return answer.status;
  const int code = errno;
  const std::string why = code == 0 ? "" : " (" + std::generic_category().message(code) + ")";
  return complain(err, "the answer cannot be written to standard output" + why, k_could_not_finish);
}

}  // namespace

int run(const std::vector<std::string>& args, std::istream& in, std::ostream& out,
        std::ostream& err) {
  try {
    return write(answer(args, {in, out, err}), out, err);
  } catch (const UsageError& error) {
    return complain(err, error.what(), k_bad_input);
  } catch (const scenario::InputError& error) {
    return complain(err, error.what(), k_bad_input);
  } catch (const std::bad_alloc&) {
    return complain(err, "could not finish: out of memory", k_could_not_finish);
  } catch (const std::exception& error) {
    return complain(err, std::string("could not finish: ") + error.what(), k_could_not_finish);
  }
}

}  // namespace blendrisk::cli
