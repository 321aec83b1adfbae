#include "answer/plain_text.hpp"

#include <algorithm>
#include <initializer_list>

#include "text/utf8.hpp"

namespace blendrisk::answer {
namespace {

using text::Character;
using text::front;
using text::is_control;

struct Span {
  char32_t first, last;
};

bool within(char32_t code, std::initializer_list<Span> spans) {
  return std::any_of(spans.begin(), spans.end(),
                     [&](const Span& s) { return code >= s.first && code <= s.last; });
}

bool is_space(char32_t code) {
  return within(code, {{0x09, 0x0D}, {0x20, 0x20}, {0x2028, 0x2029}});
}

// Zero-width characters, marks and overrides of the writing direction, tags.
bool is_hidden(char32_t code) {
  return within(code, {{0xAD, 0xAD},
                       {0x61C, 0x61C},
                       {0x200B, 0x200F},
                       {0x202A, 0x202E},
                       {0x2060, 0x206F},
                       {0xFEFF, 0xFEFF},
                       {0xFFF9, 0xFFFB},
                       {0xE0000, 0xE0FFF}});
}

/// Bytes of a control sequence whose introducer ends before `at`: up to its final byte.
std::size_t after_sequence(std::string_view text, std::size_t at) {
  while (at < text.size() && text[at] >= 0x20 && text[at] < 0x40) ++at;
  return at < text.size() && text[at] >= 0x40 && text[at] < 0x7F ? at + 1 : at;
}

/// The same for a control string: up to BEL or the string terminator, or all of the rest.
std::size_t after_string(std::string_view text, std::size_t at) {
  while (at < text.size()) {
    const std::string_view rest = text.substr(at);
    if (rest[0] == '\x07') return at + 1;
    if (rest.starts_with("\x1b\\") || rest.starts_with("\xc2\x9c")) return at + 2;
    ++at;
  }
  return at;
}

/// Where the text goes on after the control character `code` that ends before `at`.
std::size_t after_control(std::string_view text, char32_t code, std::size_t at) {
  if (code == 0x1B && at < text.size()) {
    // ESC and a letter is the 7-bit form of a C1 control.
    const char next = text[at];
    if (next >= '@' && next <= '_') {
      return after_control(text, static_cast<char32_t>(next) + 0x40, at + 1);
    }
    while (at < text.size() && text[at] >= 0x20 && text[at] < 0x30) ++at;
    return at < text.size() && text[at] >= 0x30 && text[at] < 0x7F ? at + 1 : at;
  }
  if (code == 0x9B) return after_sequence(text, at);
  if (within(code, {{0x90, 0x90}, {0x98, 0x98}, {0x9D, 0x9F}})) return after_string(text, at);
  return at;
}

std::size_t columns_of(char32_t code) {
  if (within(code, {{0x300, 0x36F}, {0x1AB0, 0x1AFF}, {0x20D0, 0x20FF}, {0xFE00, 0xFE0F}})) {
    return 0;
  }
  return within(code, {{0x1100, 0x115F},
                       {0x2E80, 0xA4CF},
                       {0xAC00, 0xD7A3},
                       {0xF900, 0xFAFF},
                       {0xFE30, 0xFE6F},
                       {0xFF00, 0xFF60},
                       {0xFFE0, 0xFFE6},
                       {0x1F300, 0x1FAFF},
                       {0x20000, 0x3FFFD}})
             ? 2
             : 1;
}

/// Bytes of clean text that fit into `most` columns.
std::size_t fitting(std::string_view text, std::size_t most) {
  std::size_t used = 0;
  std::size_t at = 0;
  while (at < text.size()) {
    const Character next = front(text.substr(at));
    used += columns_of(next.code);
    if (used > most) break;
    at += next.length;
  }
  return at;
}

}  // namespace

std::string cleaned(std::string_view text) {
  std::string result;
  bool space = false;
  for (std::size_t at = 0; at < text.size();) {
    const Character next = front(text.substr(at));
    const std::size_t end = at + next.length;
    if (is_space(next.code)) {
      space = true;
    } else if (!is_control(next.code) && !is_hidden(next.code)) {
      if (space && !result.empty()) result += ' ';
      space = false;
      result += next.code == text::k_malformed ? "?" : text.substr(at, next.length);
    }
    at = is_control(next.code) ? after_control(text, next.code, end) : end;
  }
  return result;
}

std::size_t width(std::string_view text) {
  std::size_t used = 0;
  for (std::size_t at = 0; at < text.size();) {
    const Character next = front(text.substr(at));
    used += columns_of(next.code);
    at += next.length;
  }
  return used;
}

std::string shortened(std::string_view text, std::size_t most) {
  std::string clean = cleaned(text);
  if (width(clean) <= most) return clean;
  clean.resize(fitting(clean, most - 3));
  while (clean.ends_with(' ')) clean.pop_back();
  return clean + "...";
}

std::string padded(std::string_view text, std::size_t columns) {
  std::string result = cleaned(text);
  const std::size_t used = width(result);
  if (used < columns) result.append(columns - used, ' ');
  return result;
}

std::string wrapped(std::string_view text, std::string_view first) {
  const std::string clean = cleaned(text);
  std::string_view rest = clean;
  const std::size_t room = k_columns - width(first);
  std::string result;
  while (!rest.empty()) {
    std::size_t cut = fitting(rest, room);
    if (cut < rest.size() && rest[cut] != ' ') {
      const std::size_t space = rest.substr(0, cut).rfind(' ');
      if (space != std::string_view::npos) cut = space;
    }
    result += result.empty() ? std::string(first) : std::string(width(first), ' ');
    result += rest.substr(0, cut);
    result += '\n';
    rest.remove_prefix(cut);
    if (rest.starts_with(' ')) rest.remove_prefix(1);
  }
  return result;
}

}  // namespace blendrisk::answer
