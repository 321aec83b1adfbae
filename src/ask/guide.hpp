#pragma once

#include <map>
#include <string>
#include <vector>

#include "answer/guide.hpp"
#include "render/live.hpp"
#include "scenario/read.hpp"

/// The customer's guide with its pictures.
namespace blendrisk::ask {

/// What a guide is made of.
struct GuideSource {
  std::string name;  ///< of the scenario: "sedan.ini"
  std::string text;  ///< of the scenario, to make the page again
  std::string date;  ///< "2031-05-04"
  std::vector<scenario::Override> given;
};

/// A guide's numbers and what its page says.
struct MadeGuide {
  decide::Guide guide;
  answer::Page page;
};

/// @throws estimate::ImpossibleScenario
MadeGuide made_guide(const answer::Asked& asked, const GuideSource& source);

/// Its page alone.
answer::Page guide_page(const answer::Asked& asked, const GuideSource& source);

/// What the page that computes starts from, but for its module and scripts.
/// @param files     texts of the scenario's data files by the names that it calls them
/// @param language  words of another language than English, for the module, which has none of it
render::LiveParts live_parts(const answer::Asked& asked, const GuideSource& source,
                             const std::map<std::string, std::string>& files,
                             const std::string& language = {});

}  // namespace blendrisk::ask
