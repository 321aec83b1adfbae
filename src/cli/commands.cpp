#include <algorithm>
#include <array>

#include "cli/command.hpp"

namespace blendrisk::cli {

// Each stands in the file of its name.
extern const Command k_chance, k_fill, k_heel, k_arrive, k_update, k_drivers, k_table, k_curve,
    k_guide, k_policy, k_learn, k_verify, k_new;

std::span<const Command* const> commands() {
  static constexpr std::array k_commands{&k_chance,  &k_fill,   &k_heel,  &k_arrive, &k_update,
                                         &k_drivers, &k_table,  &k_curve, &k_guide,  &k_policy,
                                         &k_learn,   &k_verify, &k_new};
  return k_commands;
}

const Command* find_command(std::string_view name) {
  const auto all = commands();
  const auto found = std::ranges::find(all, name, &Command::name);
  return found == all.end() ? nullptr : *found;
}

}  // namespace blendrisk::cli
