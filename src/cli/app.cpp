#include "cli/app.hpp"

#include <algorithm>
#include <cerrno>
#include <new>
#include <ostream>
#include <system_error>

#include "cli/command.hpp"
#include "cli/completion.hpp"
#include "cli/help.hpp"
#include "scenario/keys.hpp"
#include "text/quoting.hpp"
#include "version.hpp"

namespace blendrisk::cli {
namespace {

std::string version_text() {
  return std::string("blendrisk ") + k_version + "\n";
}

Answer answer_help(const std::vector<std::string>& rest) {
  if (rest.size() > 1) {
    throw Error("help: " + text::in_quotes(rest[1]) + " is one too many; one topic is accepted");
  }
  const bool on_itself = rest.empty() || rest.front() == "--help";
  return {help_text(on_itself ? "" : rest.front())};
}

/// What a command reads from and writes to beside its answer.
struct Streams {
  std::istream& in;
  std::ostream& out;
  std::ostream& err;
};

Answer answer_command(const Command& command, const std::vector<std::string>& rest,
                      const Streams& streams) {
  const bool reads = command.scenarios != Scenarios::none;
  if (reads && rest == std::vector<std::string>{"--help", "keys"}) return answer_help({"keys"});
  const Arguments arguments = parse_arguments(command, rest);
  if (arguments.help) return {help_text(command.name)};
  if (arguments.version) return {version_text()};
  return command.answer({command, arguments, streams.in, streams.out, streams.err});
}

Answer answer(const std::vector<std::string>& args, const Streams& streams) {
  if (args.empty()) {
    throw Error("no command; " + listed_commands("help") + " are accepted, as in `blendrisk help`");
  }
  const std::string& command = args.front();
  const std::vector<std::string> rest(args.begin() + 1, args.end());
  if (command == "--help" || command == "help") return answer_help(rest);
  if (command == "--version") {
    if (!rest.empty()) throw Error("--version: stands alone; no other arguments are accepted");
    return {version_text()};
  }
  if (command == "complete-line" && rest.size() == 1) return {completions(rest.front())};
  if (const Command* known = find_command(command)) return answer_command(*known, rest, streams);
  if (command.starts_with("-")) {
    throw Error("the command comes first, not " + text::in_quotes(command) + "; " +
                listed_commands("help") + ", or --help or --version are accepted");
  }
  throw Error("unknown command " + text::in_quotes(command) +
              scenario::nearest_note(command, command_names()) + "; " + listed_commands("help") +
              " are accepted");
}

int complain(std::ostream& err, const std::string& what, int status) {
  // Whatever a message quotes, it stays one line.
  err << "blendrisk: " << text::escaped(what) << std::endl;
  return status;
}

int could_not_finish(std::ostream& err, const std::string& why) {
  return complain(err, "could not finish: " + why, k_could_not_finish);
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
  } catch (const Error& error) {
    if (error.fault == text::Fault::input) return complain(err, error.what(), k_bad_input);
    return could_not_finish(err, error.what());
  } catch (const std::bad_alloc&) {
    return could_not_finish(err, "out of memory");
  } catch (const std::exception& error) {
    return could_not_finish(err, error.what());
  }
}

}  // namespace blendrisk::cli
