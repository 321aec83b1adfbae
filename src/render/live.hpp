#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "answer/live.hpp"

/// The page that computes: the guide with fields, scripts and the module beside it.
namespace blendrisk::render {

/// What makes a page compute.
struct LiveParts {
  std::string_view module{};   ///< gzipped WebAssembly in base64
  std::string_view opening{};  ///< script that opens it
  std::string_view script{};   ///< script of the page
  std::string start{};         ///< JSON of what it starts from
  std::vector<answer::LiveField> pump, done;
  std::vector<answer::LiveSection> all;
};

/// As page() in page.hpp, with them.
std::string live_page(const answer::Page& page, answer::UnitSystem units, const LiveParts& parts);

/// What the scripts say, by id, for `words` of `start`.
std::map<std::string, std::string> live_words();

}  // namespace blendrisk::render
