#pragma once

#include <map>
#include <string>
#include <vector>

#include "answer/description.hpp"
#include "ask/guide.hpp"
#include "cli/options.hpp"

/// One customer's guide as a page.
namespace blendrisk::cli {

struct GuidePage {
  decide::Guide guide;
  std::string html;
};

/// The page in a language, one that computes where the program has the module for it and
/// `is_static` is not asked for. @param data  texts of data files by the names that the scenario
/// calls them
/// @throws estimate::ImpossibleScenario
GuidePage guide_page(const answer::Asked& asked, const ask::GuideSource& source,
                     const std::map<std::string, std::string>& data, const Arguments& arguments);

/// That pages do not compute, where it was not asked for.
std::vector<answer::Paragraph> static_note(const Arguments& arguments);

/// Today, or the day that SOURCE_DATE_EPOCH names (reproducible-builds.org), so that a page can be
/// made again byte for byte.
std::string date_today();

}  // namespace blendrisk::cli
