#pragma once

#include <optional>
#include <string>
#include <vector>

#include "answer/json.hpp"
#include "answer/scenario_lines.hpp"
#include "learn/shop_laws.hpp"

/// What a shop's log teaches, as lines of a scenario.
namespace blendrisk::answer {

struct GroupLaws {
  std::string name;
  learn::ShopLaws laws;
};

struct LearnView {
  std::string file;
  std::string car;           ///< as the log calls it; empty where it names none
  std::string pump;          ///< that was chosen; empty: none
  std::string group_column;  ///< empty: no groups
  learn::ShopLaws laws;
  std::vector<GroupLaws> groups;
  std::vector<std::string> unused;           ///< columns of the log that were not used
  bool exact_tests = false;                  ///< the scenario gives the tester no error
  bool exact_click_off = false;              ///< nor click-off
  std::optional<double> same_delivery_days;  ///< none: no test has a date
  std::optional<double> indication;          ///< litres; that the gauge's law is for
};

/// A line of a scenario that the laws give.
struct LearntLine {
  std::string section, key, value;
};

/// In the order of the answer.
std::vector<LearntLine> learnt_lines(const learn::ShopLaws& laws);

/// "student(73.41 %, 4.02 %, 11)", of volumes "student(0.8 L, 0.9 L, 11)", with a scale that is
/// never rounded to nothing; normal(...) of a law that is one.
std::string content_law_text(const learn::StudentLaw& law);
std::string volume_law_text(const learn::StudentLaw& law);

/// Why the log tells nothing of a part.
std::string reason(learn::Untold why);

/// What the log cannot tell, and what there is to mind.
std::vector<Value> not_told(const LearnView& view);

std::vector<Line> learned(const LearnView& view);
Json members(const LearnView& view, double elapsed_s);

}  // namespace blendrisk::answer
