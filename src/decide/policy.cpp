#include "decide/policy.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "decide/allowed.hpp"
#include "decide/fill.hpp"
#include "decide/policy_costs.hpp"
#include "decide/variants.hpp"
#include "tank/conditional.hpp"

namespace blendrisk::decide {
namespace {

/// Coarser than for one answer alone.
constexpr SearchSize k_policy_size{4, 6, {}};
/// Enough for half a percent or so of the chance at an amount that was found.
constexpr std::uint64_t k_policy_cases = std::uint64_t{1} << 12U;

/// Numbers of risk_of_two_digits.
constexpr std::array<int, 10> k_policy_grid{270, 220, 190, 180, 130, 100, 90, 40, 10, 0};
/// What is looked at beyond the grid, about, for the bar alone.
constexpr std::size_t k_looks_for_year = 5, k_looks_for_cost = 1;

/// The chance at the amount, with and without what measured values bear beside it.
struct PlaceChance {
  PlaceAmount place;
  double own_chance = 0.0;
  std::uint64_t evaluations = 0;
};

PlaceChance place_at_risk(const PolicyPlace& place, double risk, std::optional<double> nominal_l,
                          double step_l, const estimate::Options& options) {
  scenario::Scenario scenario = place.scenario;
  scenario.limits.accepted_risk = risk;
  PlaceChance found;
  AmountSearch search(scenario, options, step_l, k_policy_size);
  found.place.amount_l = search.least();
  found.evaluations = search.effort().evaluations;
  if (!found.place.amount_l) return found;
  if (nominal_l) found.place.margin_l = rounded(*found.place.amount_l - *nominal_l, step_l);
  put_amount(scenario, *found.place.amount_l);
  const sampling::CaseInputs inputs(scenario);
  estimate::Options some = options;
  some.cases = k_policy_cases;
  const estimate::Result told = tank::estimate_outside(inputs, some);
  found.place.chance = told.estimate;
  found.own_chance = told.estimate.chance;
  found.evaluations += told.effort.evaluations;
  if (told.estimate.few_values && !tank::methods_of_outside(inputs, some).crude) {
    found.own_chance = tank::unlifted_outside(inputs, some).outside.chance;
  }
  return found;
}

/// act() for a place, which is named where its cases cannot be evaluated.
template <class Act>
auto of_place(std::size_t place, const Act& act) {
  try {
    return act();
  } catch (const estimate::ImpossibleScenario& error) {
    throw ImpossiblePlace(error, place);
  }
}

class PolicySolver {
 public:
  PolicySolver(std::span<const PolicyPlace> places, std::size_t cars, const PolicyRequest& request,
               const estimate::Options& options, const CellProgress& progress)
      : places_(places),
        cars_(cars),
        request_(request),
        options_(options),
        progress_(progress),
        nominal_(places.size()) {
    looks_ = k_policy_grid.size() + (request.year_risk ? k_looks_for_year : 0) +
             (request.cost_of_miss ? k_looks_for_cost : 0);
  }

  std::optional<PolicyResult> run() {
    for (std::size_t i = 0; i < places_.size(); ++i) {
      nominal_[i] = of_place(i, [&] {
        require_to_plan(places_[i].scenario);
        return amount_by_arithmetic(places_[i].scenario, options_.seed, request_.step_l);
      });
    }
    if (!look({k_policy_grid.begin(), k_policy_grid.end()})) return {};
    PolicyResult result;
    for (const int number : k_policy_grid) {
      result.years.push_back(years_.at(number));
      result.same_changes_l.push_back(
          sum_of(result.years.back(), [&](std::size_t i, const PlaceAmount& place) {
            return places_[i].changes * *place.margin_l;
          }));
    }
    if (request_.year_risk && !find_within(*request_.year_risk, result)) return {};
    if (request_.cost_of_miss && !find_cheapest(*request_.cost_of_miss, result)) return {};
    result.evaluations = evaluations_;
    if (progress_ && !progress_(most_done(), most_done())) return {};
    return result;
  }

 private:
  std::size_t most_done() const { return looks_ * (places_.size() + cars_); }

  /// Progress of a part of the work.
  CellProgress part() {
    if (!progress_) return {};
    return [this](std::size_t done, std::size_t) {
      return progress_(std::min(done_ + done, most_done()), most_done());
    };
  }

  /// The years at these risks. @return false where progress said to give up
  bool look(const std::vector<int>& numbers) {
    const GridShape of_places{numbers.size(), places_.size()};
    const std::size_t all = of_places.cells();
    const auto amounts = cells_of<PlaceChance>(
        0, all, options_, part(), [&](std::size_t i, const estimate::Options& single) {
          const std::size_t place = of_places.column_of(i);
          return of_place(place, [&] {
            return place_at_risk(places_[place], risk_of_two_digits(numbers[of_places.row_of(i)]),
                                 nominal_[place], request_.step_l, single);
          });
        });
    if (amounts.size() != all) return false;
    done_ += all;
    const auto amounts_at = [&](std::size_t k) {
      return std::span(amounts).subspan(of_places.cell_at(k, 0), places_.size());
    };
    const GridShape of_cars{numbers.size(), cars_};
    const std::size_t all_cars = of_cars.cells();
    const auto cars = cells_of<Year>(
        0, all_cars, options_, part(), [&](std::size_t i, const estimate::Options& single) {
          return car_year(of_cars.column_of(i), amounts_at(of_cars.row_of(i)), single);
        });
    if (cars.size() != all_cars) return false;
    done_ += all_cars;
    for (std::size_t k = 0; k < numbers.size(); ++k) {
      keep(numbers[k], amounts_at(k), std::span(cars).subspan(of_cars.cell_at(k, 0), cars_));
    }
    return true;
  }

  Year car_year(std::size_t car, std::span<const PlaceChance> amounts,
                const estimate::Options& options) const {
    std::vector<Visits> visits;
    for (std::size_t i = 0; i < places_.size(); ++i) {
      if (places_[i].car != car || !amounts[i].place.amount_l) continue;
      visits.push_back({places_[i].scenario, places_[i].changes, amounts[i].place.chance,
                        amounts[i].own_chance});
      put_amount(visits.back().scenario, *amounts[i].place.amount_l);
    }
    return visits.empty() ? Year{} : year_of_car(visits, options);
  }

  void keep(int number, std::span<const PlaceChance> amounts, std::span<const Year> cars) {
    PolicyYear one;
    one.risk = risk_of_two_digits(number);
    one.extra_cost = 0.0;
    for (std::size_t i = 0; i < places_.size(); ++i) {
      const PlaceAmount& place = amounts[i].place;
      one.places.push_back(place);
      evaluations_ += amounts[i].evaluations;
      if (!place.amount_l) {
        one.unserved_changes += places_[i].changes;
        ++one.unserved_places;
        continue;
      }
      one.changes += places_[i].changes;
      one.extra_l += places_[i].changes * place.margin_l.value_or(0.0);
      const auto cost = cost_of(i, place);
      if (!cost) one.extra_cost.reset();
      if (one.extra_cost) *one.extra_cost += *cost;
    }
    one.cars.assign(cars.begin(), cars.end());
    one.year = year_of_shop(cars);
    evaluations_ += one.year.evaluations;
    years_.emplace(number, std::move(one));
  }

  /// Money for a year's margins at a place, none where there is no price.
  std::optional<double> cost_of(std::size_t i, const PlaceAmount& place) const {
    const auto& price = places_[i].scenario.fills.back().price_per_l;
    if (!price) return {};
    return places_[i].changes * place.margin_l.value_or(0.0) * *price;
  }

  bool find_within(double year_risk, PolicyResult& result) {
    const auto any = [&](int number) { return years_.at(number).year.any.value; };
    // A risk at which nothing is filled keeps to anything.
    const auto loosest = std::ranges::find_if(k_policy_grid, [&](int number) {
      return any(number) <= year_risk && years_.at(number).changes > 0.0;
    });
    if (loosest == k_policy_grid.end()) {
      result.why_not_within = result.years.front().changes > 0.0 ? NoPolicy::strictest_misses_more
                                                                 : NoPolicy::nothing_served;
      return true;
    }
    int low = *loosest;
    int high = loosest == k_policy_grid.begin() ? low : *(loosest - 1);
    // A power of the risk between the two, and halves where that does not close in.
    for (bool halve = false; high - low > 1; halve = !halve) {
      const auto x = [](int number) { return std::log(risk_of_two_digits(number)); };
      const auto y = [&](int number) { return std::log(std::max(any(number), 1e-300)); };
      int next = (low + high) / 2;
      if (!halve && y(high) > y(low)) {
        const double at =
            x(low) + (std::log(year_risk) - y(low)) / (y(high) - y(low)) * (x(high) - x(low));
        next = low;
        while (next + 1 < high && x(next + 1) <= at) ++next;
        next = std::clamp(next, low + 1, high - 1);
      }
      if (!look({next})) return false;
      (any(next) <= year_risk ? low : high) = next;
    }
    result.within = years_.at(low);
    return true;
  }

  /// What a place fills under an accepted risk, or else under the strictest of the grid at which it
  /// has an amount; nullptr where it has none at the loosest.
  const PlaceAmount* strictest(const PolicyYear& year, std::size_t place) const {
    const PlaceAmount* last = nullptr;
    for (const int number : k_policy_grid) {
      if (risk_of_two_digits(number) < year.risk) break;
      const PlaceAmount& one = years_.at(number).places[place];
      if (!one.amount_l || !one.margin_l) break;
      last = &one;
    }
    const PlaceAmount& here = year.places[place];
    return last != nullptr && here.amount_l && here.margin_l ? &here : last;
  }

  /// Over the same changes at every risk.
  template <class Of>
  double sum_of(const PolicyYear& year, const Of& of) const {
    double sum = 0.0;
    for (std::size_t i = 0; i < places_.size(); ++i) {
      if (const PlaceAmount* place = strictest(year, i)) sum += of(i, *place);
    }
    return sum;
  }

  bool find_cheapest(double cost_of_miss, PolicyResult& result) {
    PolicyCosts costs;
    const auto changes_at = [&](std::size_t i, const PlaceAmount&) { return places_[i].changes; };
    const auto fuel_at = [&](std::size_t i, const PlaceAmount& place) {
      return cost_of(i, place).value_or(0.0);
    };
    const auto misses_at = [&](std::size_t i, const PlaceAmount& place) {
      return places_[i].changes * place.chance.chance;
    };
    costs.changes = sum_of(result.years.front(), changes_at);
    if (costs.changes == 0.0) {
      result.why_no_costs = NoPolicy::nothing_served;
      return true;
    }
    const auto misses_of = [&](const PolicyYear& year) {
      return std::max(sum_of(year, misses_at), 1e-300);  // has a logarithm
    };
    for (const PolicyYear& year : result.years) {
      costs.risks.push_back(year.risk);
      costs.fuel.push_back(sum_of(year, fuel_at));
      costs.misses.push_back(misses_of(year));
    }
    const auto least = [&](double factor) {
      return least_cost(costs.risks, costs.fuel, costs.misses, factor * cost_of_miss);
    };
    costs.least = least(1.0);
    costs.half = least(0.5);
    costs.twice = least(2.0);
    int number = 0;
    while (number < k_last_risk && risk_of_two_digits(number) < costs.least.risk) ++number;
    if (!years_.contains(number) && !look({number})) return false;
    result.cheapest = years_.at(number);
    costs.fuel_at_least = sum_of(*result.cheapest, fuel_at);
    costs.misses_at_least = misses_of(*result.cheapest);
    // Where a place loses its amount between two risks the costs have a step, which no curve
    // through them sees: then one of these is the least.
    for (std::size_t i = 0; i < costs.risks.size(); ++i) {
      if (costs.fuel[i] + cost_of_miss * costs.misses[i] >=
          costs.fuel_at_least + cost_of_miss * costs.misses_at_least) {
        continue;
      }
      result.cheapest = result.years[i];
      costs.fuel_at_least = costs.fuel[i];
      costs.misses_at_least = costs.misses[i];
      costs.least.risk = costs.risks[i];
      costs.least.low = std::min(costs.least.low, costs.risks[i]);
      costs.least.high = std::max(costs.least.high, costs.risks[i]);
      costs.least.at_end = i == 0 || i + 1 == costs.risks.size();
    }
    result.costs = std::move(costs);
    return true;
  }

  std::span<const PolicyPlace> places_;
  std::size_t cars_;
  const PolicyRequest& request_;
  const estimate::Options& options_;
  const CellProgress& progress_;
  std::vector<std::optional<double>> nominal_;
  std::map<int, PolicyYear> years_;
  std::size_t looks_ = 0, done_ = 0;
  std::uint64_t evaluations_ = 0;
};

}  // namespace

std::span<const double> policy_risks() {
  static const std::vector<double> risks = [] {
    std::vector<double> all;
    all.reserve(k_policy_grid.size());
    for (const int number : k_policy_grid) all.push_back(risk_of_two_digits(number));
    return all;
  }();
  return risks;
}

std::optional<PolicyResult> solve_policy(std::span<const PolicyPlace> places, std::size_t cars,
                                         const PolicyRequest& request,
                                         const estimate::Options& options,
                                         const CellProgress& progress) {
  return PolicySolver(places, cars, request, options, progress).run();
}

}  // namespace blendrisk::decide
