#pragma once

#include <string>
#include <vector>

#include "answer/description.hpp"
#include "answer/plain_text.hpp"
#include "answer/words.hpp"

/// Lines of a scenario. All prose is in comments, so that the whole is itself a part of a scenario
/// file.
namespace blendrisk::answer {

struct Line {
  enum class Kind { empty, rule, comment, setting } kind = Kind::empty;
  Value value{};
};

/// Lines one after another.
struct Lines {
  std::vector<Line> all{};

  Lines& empty() { return add(Line::Kind::empty, {}); }
  Lines& rule() { return add(Line::Kind::rule, {}); }
  Lines& comment(const Value& value) { return add(Line::Kind::comment, value); }
  Lines& setting(const std::string& line) { return add(Line::Kind::setting, text(line)); }
  Lines& add(Line::Kind kind, const Value& value) {
    all.push_back({kind, value});
    return *this;
  }
  std::vector<Line> with_cautions() {
    rule().setting("# " + "heading.cautions"_w);
    for (const std::string& caution : cautions()) comment(say("item", text(caution)));
    return std::move(all);
  }
};

}  // namespace blendrisk::answer
