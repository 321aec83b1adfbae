#include "answer/policy.hpp"

#include <algorithm>

#include "cli/answering.hpp"
#include "cli/shop_grid.hpp"
#include "cli/yearly_changes.hpp"
#include "render/policy_csv.hpp"
#include "scenario/keys.hpp"
#include "text/quoting.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_most_places = 10'000;

std::string place_name(const ShopGrid& grid, const decide::PolicyPlace& place) {
  return grid.name_of(place.car, place.pump);
}

std::string given_text(const scenario::Scenario& scenario, const std::string& key) {
  const auto found = std::ranges::find(scenario.given, key, &scenario::Given::key);
  return found == scenario.given.end() ? std::string() : found->value;
}

/// That of the last fill, whose amount is solved for.
std::string price_key(const scenario::Scenario& scenario) {
  const std::size_t fills = scenario.fills.size();
  return fills == 1 ? "fuel.price" : "fill-" + std::to_string(fills) + ".price";
}

std::vector<std::string> persistent_keys(const scenario::Scenario& scenario) {
  std::vector<std::string> keys;
  for (const scenario::Uncertain input : scenario.policy.persistent) {
    keys.push_back(scenario::key_of(input, 0)->full_name());
  }
  return keys;
}

/// What is drawn once a car cannot be another at another pump.
void require_one_car(const ShopGrid& grid, const decide::PolicyPlace& first,
                     const decide::PolicyPlace& other) {
  std::vector<std::string> keys = persistent_keys(first.scenario);
  keys.emplace_back("policy.persistent");
  for (const std::string& key : keys) {
    if (given_text(first.scenario, key) == given_text(other.scenario, key)) continue;
    throw Error("is not what it is with " + grid.pumps()[first.pump].path +
                    ", though it is drawn once a car",
                "the car's own, or policy.persistent without it",
                {place_name(grid, other), 0, key});
  }
}

std::vector<decide::PolicyPlace> places_of(const ShopGrid& grid, const Arguments& arguments) {
  const std::vector<double> changes = yearly_changes(arguments.changes, grid);
  std::vector<decide::PolicyPlace> places;
  for (std::size_t i = 0; i < changes.size(); ++i) {
    if (changes[i] == 0.0) continue;
    const std::size_t car = grid.shape().row_of(i);
    const std::size_t pump = grid.shape().column_of(i);
    places.push_back({car, pump, grid.scenario_of(car, pump, arguments.overrides), changes[i]});
    const auto first = std::ranges::find(places, car, &decide::PolicyPlace::car);
    require_one_car(grid, *first, places.back());
    if (arguments.cost_of_miss && !places.back().scenario.fills.back().price_per_l) {
      throw Error("is not given, though --cost-of-miss holds extra fuel against misses",
                  "a price such as 1.2 /L",
                  {place_name(grid, places.back()), 0, price_key(places.back().scenario)});
    }
  }
  return places;
}

answer::PolicyView view_of(const ShopGrid& grid, const std::vector<decide::PolicyPlace>& places) {
  answer::PolicyView view;
  for (const ShopFile& car : grid.cars()) view.cars.push_back(car.title);
  for (const ShopFile& pump : grid.pumps()) view.pumps.push_back(pump.title);
  for (const decide::PolicyPlace& place : places) {
    view.places.push_back({place.car, place.pump, place.changes});
    for (const std::string& key : persistent_keys(place.scenario)) {
      const auto* law = scenario::law_of(place.scenario, *scenario::find_key(key));
      const bool spread = law != nullptr && !distributions::is_exact(*law);
      if (spread && std::ranges::count(view.persistent, key) == 0) view.persistent.push_back(key);
    }
    view.measured = view.measured || !scenario::measured(place.scenario).empty();
  }
  return view;
}

decide::PolicyResult solved(const Call& call, const ShopGrid& grid,
                            const std::vector<decide::PolicyPlace>& places,
                            const decide::PolicyRequest& request) {
  auto result = swept(call, "steps", "", [&](const auto& progress) {
    try {
      return decide::solve_policy(places, grid.cars().size(), request, call.arguments.options,
                                  progress);
    } catch (const decide::ImpossiblePlace& error) {
      throw Error(answer::reason(error), {}, {place_name(grid, places[error.place])});
    }
  });
  if (!result) throw Error("policy: it was given up");
  return std::move(*result);
}

void require_shop(const Arguments& arguments) {
  if (!arguments.cars.empty() && !arguments.pumps.empty() && !arguments.changes.empty()) return;
  throw Error(
      "policy: cars, pumps and changes are needed; --cars 'cars/*.ini' --pumps 'pumps/*.ini' "
      "--changes 12 is accepted");
}

Answer answer_policy(const Call& call) {
  const Arguments& arguments = call.arguments;
  const Stopwatch watch;
  const ShopGrid grid(arguments);
  require_at_most(call, k_most_places, "cars with pumps", grid.shape().cells());
  const std::vector<decide::PolicyPlace> places = places_of(grid, arguments);
  answer::PolicyView view = view_of(grid, places);
  view.request = {answer::dispenser_step(arguments.units), arguments.year_risk,
                  arguments.cost_of_miss};
  view.result = solved(call, grid, places, view.request);
  const bool kept = !arguments.year_risk || view.result.within;
  const int status = judged(arguments, kept && view.wall().unserved_places == 0);
  write_figure_or_data(
      arguments, [&] { return answer::policy_figure(view); },
      [&] { return render::policy_csv(view); });
  return {told(arguments, places.front().scenario, view, watch.seconds()), status};
}

}  // namespace

extern const Command k_policy{
    .name = "policy",
    .question = "one accepted risk for a shop's cars and pumps, and what it costs in a year",
    .usage = "--cars FILES --pumps FILES --changes N|FILE.csv [--section.key VALUE ...] [options]",
    .about =
        R"(For accepted risks from 10 % to 0.01 % a change: amounts and margins of every car at every pump,
the extra fuel of a year and its price, the misses to expect, and the chance of at least one, with
what errs alike at all changes of a car (policy.persistent) drawn once a car. --changes is how often
a year every car is changed at every pump, or a .csv with the columns car, pump and changes.
  blendrisk policy --cars 'cars/*.ini' --pumps 'pumps/*.ini' --changes 12 \
    --year-risk "5 %"
--year-risk finds the loosest accepted risk that keeps the chance of any miss in a year within it,
--cost-of-miss the one at which extra fuel and misses together cost least. What no amount serves is
left out and counted apart. A .csv has what to print on the wall; a picture, by gnuplot, the chance
of any miss in a year, extra fuel and costs against the accepted risk.
)",
    .options =
        "cars pumps changes year-risk cost-of-miss json seed threads precision units output "
        "require",
    .answer = answer_policy,
    .scenarios = Scenarios::perhaps,
    .output = ".csv .svg .png .pdf",
    .refuse = require_shop};

}  // namespace blendrisk::cli
