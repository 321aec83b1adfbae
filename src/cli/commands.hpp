#pragma once

#include <iosfwd>
#include <string>

#include "cli/options.hpp"

/// One function a command. The answer is returned as text, so that nothing is written before all
/// of it is known.
namespace blendrisk::cli {

struct Answer {
  std::string text;
  int status = 0;
};

/// `blendrisk chance`. @param err  gets the progress of a long run where that is a terminal
Answer answer_chance(const Arguments& arguments, std::ostream& err);

/// `blendrisk fill` and `blendrisk heel`.
Answer answer_fill(const Arguments& arguments, std::ostream& err);
Answer answer_heel(const Arguments& arguments, std::ostream& err);

/// `blendrisk arrive`.
Answer answer_arrive(const Arguments& arguments, std::ostream& err);

/// `blendrisk update`. With --readings - answers go to `out` line by line and the text of the
/// answer stays empty; what is skipped is told on `err`.
Answer answer_update(const Arguments& arguments, std::istream& in, std::ostream& out,
                     std::ostream& err);

/// `blendrisk table`, also --part and --join.
Answer answer_table(const Arguments& arguments, std::ostream& err);

/// `blendrisk drivers`.
Answer answer_drivers(const Arguments& arguments, std::ostream& err);

/// `blendrisk guide`.
Answer answer_guide(const Arguments& arguments, std::ostream& err);

/// `blendrisk learn`.
Answer answer_learn(const Arguments& arguments, std::ostream& err);

/// `blendrisk curve`.
Answer answer_curve(const Arguments& arguments, std::ostream& err);

/// `blendrisk new`: a commented starter scenario, which runs as it is. Lines that begin with ; are
/// keys and sections to be had by taking it away.
/// @param back  from high-ethanol fuel to gasoline, with a maximum
Answer answer_new(bool back);

}  // namespace blendrisk::cli
