#pragma once

#include <span>
#include <string>
#include <string_view>

/// The languages that a page is made in.
namespace blendrisk::answer {

struct Language {
  std::string_view name;                    ///< in English, in lower case: "german"
  std::string_view tag;                     ///< of BCP 47: "de"
  std::span<const std::string_view> texts;  ///< as add_words takes them; none of English
};

/// English first. The words of others have all ids that a page says, but those of lines that
/// refuse input.
std::span<const Language> languages();

/// All words of a language, for Speaking and for the module of the page; empty of English.
std::string words_of(const Language& language);

}  // namespace blendrisk::answer
