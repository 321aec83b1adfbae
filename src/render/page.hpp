#pragma once

#include <string>
#include <string_view>

#include "answer/guide.hpp"

/// A page that is one HTML file and needs no network.
namespace blendrisk::render {

/// Text for an HTML page, between tags or in a quoted attribute.
std::string html(std::string_view text);

/// A whole HTML file. @param title, head, body  markup: of the window, after the style, of the page
std::string document(const std::string& title, std::string_view style, const std::string& head,
                     const std::string& body);

/// Blocks, and sections, one after another.
std::string blocks(const std::vector<answer::Block>& blocks, answer::UnitSystem units);
std::string sections(const std::vector<answer::PageSection>& sections, answer::UnitSystem units);

/// What stands in a page around its sections.
struct Around {
  std::string head{};    ///< in the head, after the style
  std::string before{};  ///< before the sections of the guide
  std::string after{};   ///< after them
  std::string end{};     ///< at the end of the body
};
std::string page(const answer::Page& page, answer::UnitSystem units, const Around& around);

/// The page. Numbers that carry where they come from stand in a `data` element with their value.
std::string page(const answer::Page& page, answer::UnitSystem units);

}  // namespace blendrisk::render
