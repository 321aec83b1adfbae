#pragma once

#include <string>
#include <string_view>

#include "answer/guide.hpp"

/// A page that is one HTML file: no network, no script.
namespace blendrisk::render {

/// Text for an HTML page, between tags or in a quoted attribute.
std::string html(std::string_view text);

/// The page. Numbers that carry where they come from stand in a `data` element with their value.
std::string page(const answer::Page& page, answer::UnitSystem units);

}  // namespace blendrisk::render
