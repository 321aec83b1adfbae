#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "decide/feasible_set.hpp"
#include "estimate/result.hpp"
#include "sampling/question.hpp"

/// The amounts of the last fill, as the dispenser shows them, that are within the accepted risk.
namespace blendrisk::decide {

/// An unbroken range of them [L], the one with the smallest. Both ends are within the risk by
/// estimates of their own.
struct AllowedAmounts {
  double least = 0.0;
  std::optional<double> largest;  ///< none where no limit binds before the tank is full
  /// Where the next range begins, beyond amounts that are not within the risk (an amount may first
  /// bring the hose's fuel alone).
  std::optional<double> again_from;
};

/// A search over the amounts, then estimates at its answers: its points may be a hair too kind.
class AmountSearch {
 public:
  /// @param step_l  of the dispenser's display, > 0
  /// @param ends    all, or the lowest where only least() is asked for
  /// @param nearby  fits of other amounts, if there are any; has to outlive it
  /// @throws estimate::ImpossibleScenario where the tank may hold nothing whatever the amount
  AmountSearch(const scenario::Scenario& scenario, const estimate::Options& options, double step_l,
               const SearchSize& size = {}, Ends ends = Ends::all,
               estimate::SidesNearby* nearby = nullptr);

  /// The smallest amount within the risk, none where no amount is.
  std::optional<double> least();

  /// The range that begins there. @pre all ends were searched
  std::optional<AllowedAmounts> allowed();

  /// The chance of landing outside the limits, none where the amount may leave the tank empty,
  /// whose content is nothing.
  std::optional<estimate::Estimate> outside(double amount_l);

  double least_at() const { return least_at_; }  ///< where the chance is least, of what was tried
  double most() const { return most_; }          ///< where the search ends: nothing more goes in
  const estimate::Effort& effort() const { return effort_; }

 private:
  void search(Ends ends);
  /// What ask() finds of an amount; none where the amount may leave the tank empty.
  template <class Ask>
  auto asked(double amount_l, const Ask& ask) -> std::optional<decltype(ask())>;
  bool within(double amount_l);
  std::optional<double> nearest(double from, double to);
  double widened(double end, double most);
  std::optional<double> least_from(std::size_t& first);

  sampling::Question question_;
  estimate::Options options_;
  double step_, least_at_ = 0.0, most_ = 0.0;
  estimate::SidesNearby* nearby_;
  SearchSize size_;  ///< without `last` it stops short of what an estimate of its own knows
  bool only_lowest_ = false;  ///< up to the first that was within; the rest was not looked at
  std::vector<Span> spans_;   ///< as searched, on the steps of the display
  estimate::Effort effort_;
};

/// The smallest amount with every input at its mean, none where no amount does.
std::optional<double> amount_by_arithmetic(const scenario::Scenario& scenario, std::uint64_t seed,
                                           double step_l);

}  // namespace blendrisk::decide
