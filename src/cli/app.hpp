#pragma once

#include <iosfwd>
#include <string>
#include <vector>

/// The program without main: what a user types in, text and an exit status out.
namespace blendrisk::cli {

inline constexpr int k_answered = 0;
inline constexpr int k_could_not_finish = 1;
inline constexpr int k_bad_input = 2;
inline constexpr int k_risk_not_met = 3;

/// Runs one command. The answer goes to `out`; an error is one line on `err` and leaves `out`
/// alone.
/// @param args  the arguments without the program's name
/// @return the exit status: 0 answered, 1 could not finish, 2 bad arguments or scenario, 3 with
///   --require answered and the accepted risk is not met
/// @param in  what `update --readings -` follows
int run(const std::vector<std::string>& args, std::istream& in, std::ostream& out,
        std::ostream& err);

}  // namespace blendrisk::cli
