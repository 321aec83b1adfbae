#include "decide/fill.hpp"
#include "cli/answering.hpp"
#include "tank/between_fills.hpp"

namespace blendrisk::cli {
namespace {

decide::FillResult safe_fill(const Call& call, const scenario::Scenario& scenario) {
  const estimate::Options& options = call.arguments.options;
  const answer::UnitSystem units = call.arguments.units;
  return tank::with_between_fills(scenario, options, [&] {
    return decide::solve_fill(scenario, options, answer::dispenser_step(units),
                              answer::gauge_step(units));
  });
}

}  // namespace

extern const Command k_fill{
    .name = "fill",
    .question = "how much must the dispenser show so that the accepted risk is met?",
    .about =
        R"(The smallest amount on the dispenser, at the last fill, that keeps the chance of landing outside
the limits within limits.accepted-risk; what plain arithmetic says and the margin between; the
largest amount where the other limit binds; and where no amount will do, what would. Of several
fills also what the tank holds after each before the last, and which calibration that suits.
)",
    .options = "json seed threads precision units require",
    .answer = answered<safe_fill, &decide::FillResult::safe_amount_l>};

}  // namespace blendrisk::cli
