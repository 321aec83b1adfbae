#include "cli/guide_page.hpp"

#include <cstdlib>
#include <ctime>
#include <utility>

#include "answer/words.hpp"
#include "cli/page_module.hpp"
#include "render/live.hpp"
#include "render/page.hpp"

namespace blendrisk::cli {

GuidePage guide_page(const answer::Asked& asked, const ask::GuideSource& source,
                     const std::map<std::string, std::string>& data, const Arguments& arguments) {
  const std::string language = answer::words_of(*arguments.language);
  const answer::Speaking speaking(language);
  ask::MadeGuide made = ask::made_guide(asked, source);
  if (page_module().empty() || arguments.static_page) {
    return {std::move(made.guide), render::page(made.page, asked.units)};
  }
  render::LiveParts parts = ask::live_parts(asked, source, data, language);
  parts.module = page_module();
  parts.opening = page_opening();
  parts.script = page_script();
  return {std::move(made.guide), render::live_page(made.page, asked.units, parts)};
}

std::vector<answer::Paragraph> static_note(const Arguments& arguments) {
  if (!page_module().empty() || arguments.static_page) return {};
  return {{answer::say("guide.static")}};
}

std::string date_today() {
  std::time_t now = std::time(nullptr);
  if (const char* epoch = std::getenv("SOURCE_DATE_EPOCH")) {
    char* end = nullptr;
    const long long value = std::strtoll(epoch, &end, 10);
    if (end != epoch && *end == '\0' && value >= 0) now = static_cast<std::time_t>(value);
  }
  std::tm date{};
  if (gmtime_r(&now, &date) == nullptr) return "an unknown day";
  std::string text(16, '\0');
  text.resize(std::strftime(text.data(), text.size(), "%Y-%m-%d", &date));
  return text;
}

}  // namespace blendrisk::cli
