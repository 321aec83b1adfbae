#pragma once

#include <string>
#include <string_view>

/// Questions as JSON, for what cannot call C++: a scenario's text and a question in, the answer
/// out. No files, no threads.
namespace blendrisk::ask {

/// Answers a request, an object of
/// - `command`: chance, fill, heel, arrive or update; guide, its sections; scenario, its text;
/// - `scenario`, its text, and `name`, what errors call it;
/// - `given`: keys that win over the text, [["heel.indicated", "8 L"], ...];
/// - `files`: texts of the data files that measured("...") names, by name;
/// - `readings`: of update, ["0.3 L: 57 %", ...];
/// - `units`: metric or us; `seed`, `precision`, `cases`, `method`: the program's options.
/// - `text`: whether the whole answer is wanted as text, with its picture; `date`: of the guide;
/// - `language`: the words of another language than English, as answer::words_of has them.
/// All but command and scenario may be left out.
/// @returns {"answer", "met", "done", "line", "shows"}: the answer as the program's --json has it
/// but for elapsed_s, whether the last fill is done and the line has a volume, and what the page
/// shows, as markup; of guide {"sections"}, as markup; of scenario {"text"}; or {"error", "key"}:
/// the program's line without its name, and the key or option that it is about, empty where it is
/// about none
std::string answered(std::string_view request);

}  // namespace blendrisk::ask
