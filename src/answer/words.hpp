#pragma once

#include <string>
#include <string_view>
#include <vector>

/// Every sentence, label and heading of an answer, by id, from the english words beside; words
/// of the page (`guide.`) are markup. Another language is another such file.
namespace blendrisk::answer {

/// What stands for an id; `{1}`, `{2}` in it are places for values. @pre has_words(id)
std::string_view words(std::string_view id);

bool has_words(std::string_view id);

/// All ids, for those who check them.
std::vector<std::string_view> all_ids();

/// Words with their places filled; a place without a value stays empty.
std::string filled(std::string_view words, const std::vector<std::string>& values);

/// "none.price"_w: the words of an id that has no places.
inline std::string operator""_w(const char* id, std::size_t size) {
  return std::string(words({id, size}));
}

/// What every answer carries, one sentence or two each, in the order shown. `caution.short` is for
/// where there is no room: a picture's foot, a comment in a CSV, one answer of many; it is one line
/// of less than 100 ASCII characters, without commas.
std::vector<std::string> cautions();

/// Widest label of a key, in columns.
inline constexpr std::size_t k_label_columns = 34;

/// A scenario key in a few words, by `label.KEY` where there are any, else as the table of keys has
/// it: "heel.gauge-error" is "gauge error (true - indicated)". A key
/// that is not known is its own label.
std::string label(std::string_view key);

}  // namespace blendrisk::answer
