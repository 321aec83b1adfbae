#pragma once

#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace blendrisk::scenario {
struct Key;
}

/// Every sentence, label and heading of an answer, by id, from the english words beside; words
/// of the page (`guide.`) are markup. Other languages are other such files, see languages.hpp.
namespace blendrisk::answer {

/// What stands for an id in the language that is spoken; `{1}`, `{2}` in it are places for values.
/// @pre has_words(id)
std::string_view words(std::string_view id);

/// The same in English, whatever is spoken: of the lines that refuse input, which are English.
std::string_view english(std::string_view id);

/// Whether an id has words in the language that is spoken, or else in English.
bool has_words(std::string_view id);

/// All English ids, for those who check them.
std::vector<std::string_view> all_ids();

/// Words by id.
using WordTable = std::unordered_map<std::string_view, std::string_view>;

/// Adds the words of a text, `id = words` a line; other lines are passed over. An id that is there
/// already keeps its words. Ids and words are parts of the text, which has to outlive the table.
void add_words(std::string_view text, WordTable& table);

/// While it lives, what this thread says is in another language: words that its text has not are
/// English. One speaks where an answer begins to be shown, so that no function on the way has to
/// hand a language on, `"none"_w` as little as `label`; what computes says nothing, on any thread.
class Speaking {
 public:
  /// @param text  as add_words takes it; empty for English
  explicit Speaking(std::string text);
  ~Speaking();
  Speaking(const Speaking&) = delete;
  Speaking& operator=(const Speaking&) = delete;

 private:
  std::string text_;
  WordTable table_;
  const WordTable* before_;
};

/// Words with their places filled; a place without a value stays empty.
std::string filled(std::string_view words, const std::vector<std::string>& values);

/// "none.price"_w: the words of an id that has no places.
inline std::string operator""_w(const char* id, std::size_t size) {
  return std::string(words({id, size}));
}

/// What every answer carries, one sentence or two each, in the order shown. `caution.short` is for
/// where there is no room: a picture's foot, a comment in a CSV, one answer of many; in English it
/// is one line of less than 100 ASCII characters, without commas.
std::vector<std::string> cautions();

/// Widest label of a key, in columns.
inline constexpr std::size_t k_label_columns = 34;

/// A scenario key in a few words, by `label.KEY` where there are any, else as the table of keys has
/// it: "heel.gauge-error" is "gauge error (true - indicated)". Of a later fill `label.fill-n.NAME`
/// does, too, within `label.fill-n`. A key that is not known is its own label.
std::string label(std::string_view key);

/// What stands where a key is not given: its default as it would be written, or a note by
/// `absent.KEY` (of later fills `absent.fill-n.NAME`), else as the table of keys has it.
std::string absent(const scenario::Key& key);

}  // namespace blendrisk::answer
