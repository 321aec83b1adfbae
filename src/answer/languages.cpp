#include "answer/languages.hpp"

namespace blendrisk::answer {
namespace {

constexpr std::string_view k_german[] = {
#include "answer/german.words"
    ,
#include "answer/german_line.words"
    ,
#include "answer/german_page.words"
    ,
#include "answer/german_keys.words"
};

constexpr Language k_languages[] = {{"english", "en", {}}, {"german", "de", k_german}};

}  // namespace

std::span<const Language> languages() {
  return k_languages;
}

std::string words_of(const Language& language) {
  std::string all;
  for (const std::string_view text : language.texts) all += text;
  return all;
}

}  // namespace blendrisk::answer
