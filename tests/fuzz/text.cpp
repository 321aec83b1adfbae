#include <string>
#include <string_view>

#include "answer/figure.hpp"
#include "answer/plain_text.hpp"
#include "render/gnuplot_script.hpp"
#include "render/page.hpp"
#include "tests/fuzz/require.hpp"
#include "text/quoting.hpp"

namespace blendrisk::fuzz {
namespace {

/// Every string of a line ends on it; outside of strings stands only what we write ourselves.
void require_closed(std::string_view line) {
  char open = '\0';
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (open == '"' && c == '\\') {
      ++i;
    } else if (open != '\0') {
      if (c == open) open = '\0';
    } else if (c == '\'' || c == '"') {
      open = c;
    } else {
      require(c != '`' && c != '@' && c != '!' && c != ';' && c != '#');
    }
  }
  require(open == '\0');
}

void require_script(std::string_view script) {
  require_printable(script, true);
  while (!script.empty()) {
    const std::size_t end = script.find('\n');
    require(end != std::string_view::npos);
    const std::string_view line = script.substr(0, end);
    script.remove_prefix(end + 1);
    // In a double-quoted string a back quote is a command.
    require(line.find('"') == std::string_view::npos || !line.starts_with("set xtics") ||
            line.find('`') == std::string_view::npos || line.find('\'') < line.find('"'));
    require_closed(line);
  }
}

answer::Figure figure_of(const std::string& text) {
  answer::Figure figure;
  figure.title = text;
  figure.x = {text, 0.0, 1.0, false, {{0.5, text}}};
  figure.y = {text, 0.0, 2.0, false, {{0.5, text}}};
  figure.lines.push_back({{0.0, 1.0}, {0.5, 1.5}, {}, {}, text});
  figure.levels.push_back({1.0, text, false});
  figure.levels.push_back({0.5, text, true});
  figure.marks.push_back({0.5, 1.0, text});
  return figure;
}

}  // namespace
}  // namespace blendrisk::fuzz

// Any bytes come out as plain text, stay text in an HTML page, and stay strings in a script.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace blendrisk;
  if (size > 2000) return 0;
  const std::string text = fuzz::text_of(data, size);
  const std::string clean = answer::cleaned(text);
  fuzz::require_printable(clean, false);
  fuzz::require(answer::cleaned(clean) == clean);
  fuzz::require(answer::width(answer::shortened(text, 28)) <= 28);
  fuzz::require_printable(answer::wrapped(text, "  "), true);
  fuzz::require_message(text::in_quotes(text));
  const std::string markup = render::html(text);
  fuzz::require(markup.find_first_of("<>\"'") == std::string::npos);
  fuzz::require_printable(markup, false);
  fuzz::require_script(render::gnuplot_script(fuzz::figure_of(text), render::PictureFormat::svg));
  return 0;
}
