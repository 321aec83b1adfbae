#include "cli/roff.hpp"

#include <algorithm>
#include <cctype>

#include "version.hpp"

namespace blendrisk::cli::roff {
namespace {

constexpr const char* k_bold = R"(\fB)";
constexpr const char* k_slanted = R"(\fI)";
constexpr const char* k_upright = R"(\fR)";

/// Characters that roff would take for something else: groff_char(7).
std::string escaped(std::string_view plain) {
  std::string source;
  for (const char c : plain) {
    switch (c) {
      case '\\':
        source += R"(\e)";
        break;
      case '-':
        source += R"(\-)";
        break;
      case '\'':
        source += R"(\(aq)";
        break;
      case '`':
        source += R"(\(ga)";
        break;
      case '~':
        source += R"(\(ti)";
        break;
      case '^':
        source += R"(\(ha)";
        break;
      default:
        source += c;
    }
  }
  return source;
}

/// A line that does not begin with the sign of a request.
std::string line(std::string source) {
  if (source.starts_with('.')) source.insert(0, R"(\&)");
  return source + "\n";
}

std::string styled(const char* style, std::string_view plain) {
  return style + escaped(plain) + k_upright;
}

bool in_name(char c) {
  return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '-' || c == '.';
}

}  // namespace

std::string text(std::string_view plain) {
  std::string source;
  for (std::size_t at = 0; at < plain.size();) {
    const std::size_t open = std::min(plain.find('`', at), plain.size());
    const std::size_t close = plain.find('`', open + 1);
    if (close == std::string_view::npos) return source + escaped(plain.substr(at));
    source += escaped(plain.substr(at, open - at));
    source += bold(plain.substr(open + 1, close - open - 1));
    at = close + 1;
  }
  return source;
}

std::string bold(std::string_view plain) {
  return styled(k_bold, plain);
}

std::string usage(std::string_view line) {
  std::string source;
  bool inside_quotes = false;
  for (std::size_t at = 0; at < line.size();) {
    if (line[at] == '"') inside_quotes = !inside_quotes;
    std::size_t end = at;
    while (end < line.size() && in_name(line[end])) ++end;
    const std::string_view word = line.substr(at, end - at);
    if (word.empty() || word == "..." || word == "-" || inside_quotes) {
      end = std::max(end, at + 1);
      source += escaped(line.substr(at, end - at));
      // No sentence ends here.
      if (word == "...") source += R"(\&)";
    } else {
      const bool put_in =
          std::isupper(static_cast<unsigned char>(word.front())) != 0 || word == "options";
      source += styled(put_in ? k_slanted : k_bold, word);
    }
    at = end;
  }
  return source;
}

std::string synopsis(std::string_view line) {
  const std::size_t space = line.find(' ');
  return ".SY " + escaped(line.substr(0, space)) + "\n" + usage(line.substr(space + 1)) + "\n.YS\n";
}

std::string title(std::string_view name, int section, std::string_view date) {
  std::string capitals;
  for (const char c : name) {
    capitals += static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  }
  return ".TH " + capitals + " " + std::to_string(section) + " " + std::string(date) +
         " \"blendrisk " + k_version + "\"\n" +
         // Names of keys and columns are not to be hyphenated, in groff nor in mandoc, and then
         // lines are better not spread to the margin.
         ".nr HY 0\n.nh\n.ad l\n";
}

std::string section(std::string_view name) {
  return ".SH " + std::string(name) + "\n";
}

std::string subsection(std::string_view name) {
  return ".SS " + escaped(name) + "\n";
}

std::string paragraph(std::string_view plain) {
  return ".PP\n" + line(text(plain));
}

std::string entry(std::string_view tag, std::string_view plain) {
  return ".TP\n" + line(std::string(tag)) + line(text(plain));
}

std::string example(const std::vector<std::string>& lines) {
  std::string source = ".PP\n.EX\n";
  for (const std::string& each : lines) source += line(escaped(each));
  return source + ".EE\n";
}

std::string finished(std::string_view source) {
  constexpr std::size_t most = 80;
  std::string page;
  bool as_it_stands = false;
  bool heading = false;
  bool tag = false;
  while (!source.empty()) {
    std::string_view rest = source.substr(0, source.find('\n'));
    source.remove_prefix(rest.size() + 1);
    if (rest.starts_with(".E")) as_it_stands = rest == ".EX";
    const bool superfluous = heading && rest == ".PP";
    const bool whole = as_it_stands || tag || rest.starts_with('.');
    heading = rest.starts_with(".S");
    tag = rest == ".TP";
    if (superfluous) continue;
    while (!whole && rest.size() > most) {
      const std::size_t at = rest.rfind(' ', most);
      if (at == std::string_view::npos) break;
      page += std::string(rest.substr(0, at)) + "\n";
      rest.remove_prefix(at + 1);
      if (rest.starts_with('.')) page += R"(\&)";
    }
    page += std::string(rest) + "\n";
  }
  return page;
}

std::vector<std::string> broken_command(std::string_view command, std::size_t most) {
  std::vector<std::string> lines;
  std::string rest(command);
  while (rest.size() > most) {
    const std::size_t at = rest.rfind(" --", most - 2);
    if (at == std::string::npos || at < 5) break;
    lines.push_back(rest.substr(0, at) + " \\");
    rest = "    " + rest.substr(at + 1);
  }
  lines.push_back(rest);
  return lines;
}

}  // namespace blendrisk::cli::roff
