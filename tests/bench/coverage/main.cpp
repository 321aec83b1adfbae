#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <stdexcept>
#include <thread>
#include <vector>

#include "scenario/read.hpp"
#include "tank/chance.hpp"

// How often the 95 % interval of a chance holds the chance of a run a hundred times finer, and how
// far landed quantiles scatter over seeds.
//
// usage: blendrisk_coverage SEEDS PRECISION SCENARIO...   one JSON object a scenario
// PRECISION: relative, such as 0.05; 0: what a command takes unless told.
namespace {

using namespace blendrisk;

constexpr std::uint64_t k_seed_of_truth = 987654;
constexpr double k_finer = 10.0;  ///< in standard errors: a hundred times as many points
constexpr std::size_t k_scatter_seeds = 20;

struct Seen {
  bool held = false;
  bool less_sure = false;
  estimate::Landed landed;
};

std::string text_of(const std::filesystem::path& path) {
  const std::ifstream file(path);
  if (!file) throw std::runtime_error("cannot be read: " + path.string());
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

scenario::Scenario read(const std::filesystem::path& path) {
  return scenario::read({path.string(), text_of(path)}, {}, [&](const std::string& data) {
    return text_of(path.parent_path() / data);
  });
}

nlohmann::json covered(const scenario::Scenario& scenario, const estimate::Options& asked,
                       std::size_t seeds) {
  const estimate::ChanceResult first = tank::estimate_landing(scenario, asked);
  const estimate::Estimate& rough = first.outside;
  if (rough.few_values || rough.upper_bound_only || !(rough.standard_error > 0.0))
    return {{"left_out", "a bound, or exact"}};
  estimate::Options fine = asked;
  fine.seed = k_seed_of_truth;
  fine.decision_serves = false;
  fine.precision = std::max(1e-5, rough.standard_error / rough.chance / k_finer);
  const estimate::Estimate truth = tank::estimate_landing(scenario, fine).outside;

  std::vector<Seen> all(seeds);
  std::atomic<std::size_t> next{0};
  {
    std::vector<std::jthread> threads;
    for (unsigned i = 0; i < std::max(1U, std::thread::hardware_concurrency()); ++i) {
      threads.emplace_back([&] {
        for (std::size_t k = next++; k < seeds; k = next++) {
          estimate::Options options = asked;
          options.seed = k + 1;
          const estimate::ChanceResult one = tank::estimate_landing(scenario, options);
          const auto& [low, high] = one.outside.interval;
          all[k] = {low <= truth.chance && truth.chance <= high, !one.less_sure.empty(),
                    one.landed};
        }
      });
    }
  }
  double scatter = 0.0;
  double told = 0.0;
  const std::size_t some = std::min(seeds, k_scatter_seeds);
  for (std::size_t q = 0; q < estimate::k_quantile_orders.size(); ++q) {
    double mean = 0.0;
    double squares = 0.0;
    for (std::size_t k = 0; k < some; ++k) mean += all[k].landed.quantiles[q];
    mean /= static_cast<double>(some);
    for (std::size_t k = 0; k < some; ++k)
      squares += std::pow(all[k].landed.quantiles[q] - mean, 2);
    scatter = std::max(scatter, std::sqrt(squares / static_cast<double>(some - 1)));
  }
  for (std::size_t k = 0; k < some; ++k) told = std::max(told, all[k].landed.error);
  return {{"chance", truth.chance},
          {"relative_error", truth.standard_error / truth.chance},
          {"asked_relative_error", rough.standard_error / rough.chance},
          {"held", std::count_if(all.begin(), all.end(), [](const Seen& s) { return s.held; })},
          {"seeds", seeds},
          {"less_sure",
           std::count_if(all.begin(), all.end(), [](const Seen& s) { return s.less_sure; })},
          {"quantile_scatter", scatter},
          {"quantile_error_told", told}};
}

}  // namespace

int main(int count, char** words) {
  if (count < 4) {
    std::cerr << "usage: blendrisk_coverage SEEDS PRECISION SCENARIO...\n";
    return 2;
  }
  const std::size_t seeds = std::max<std::size_t>(2, std::strtoul(words[1], nullptr, 10));
  estimate::Options options;
  options.precision = std::strtod(words[2], nullptr);
  if (!(options.precision > 0.0)) {
    options.precision = estimate::Options{}.precision;
    options.decision_serves = true;
  }
  for (int i = 3; i < count; ++i) {
    nlohmann::json answer;
    try {
      answer = covered(read(words[i]), options, seeds);
    } catch (const std::exception& error) {
      answer = {{"left_out", error.what()}};
    }
    answer["scenario"] = words[i];
    std::cout << answer.dump() << std::endl;
  }
}
