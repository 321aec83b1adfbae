#include "cli/learn_log.hpp"

#include <algorithm>
#include <filesystem>
#include <map>
#include <numeric>

#include "answer/shared.hpp"
#include "answer/shop_laws.hpp"
#include "cli/answering.hpp"
#include "cli/shop_log.hpp"
#include "text/letter_case.hpp"
#include "text/pieces.hpp"
#include "text/quoting.hpp"

namespace blendrisk::cli {
namespace {

std::optional<std::uint32_t> place_of(const learn::LogWords& words, std::string_view name) {
  for (std::size_t i = 0; i < words.names.size(); ++i) {
    if (text::same_word(words.names[i], name)) return static_cast<std::uint32_t>(i);
  }
  return {};
}

/// The number of a name that an option gives. @throws Error where the log has none such
std::uint32_t named(const learn::LogWords& words, const std::string& option,
                    const std::string& name) {
  if (const auto found = place_of(words, name)) return *found;
  if (!words.any()) {
    throw Error("the log has no column " + option, "a log with one is accepted", {"--" + option});
  }
  throw Error(text::in_quotes(name) + " is not in the log",
              "it has " + text::in_quotes(text::listed(words.names), 200), {"--" + option});
}

/// The car that is meant: by --car, else as verify finds a row's scenario.
std::optional<std::uint32_t> car_of(const learn::ShopLog& log, const Arguments& arguments,
                                    const scenario::Scenario& car) {
  if (!arguments.car.empty()) return named(log.car, "car", arguments.car);
  if (log.car.names.size() <= 1) return 0;
  const std::string file = std::filesystem::path(arguments.scenario_path).stem().string();
  const auto by_file = place_of(log.car, file);
  return by_file ? by_file : place_of(log.car, car.title);
}

std::vector<answer::GroupLaws> grouped(const learn::ShopLog& log,
                                       const learn::ShopQuestion& question) {
  std::vector<std::vector<std::size_t>> rows(log.group.names.size());
  for (std::size_t row = 0; row < log.rows(); ++row) rows[log.group.of_row[row]].push_back(row);
  std::vector<answer::GroupLaws> groups;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    groups.push_back({log.group.names[i], learn::shop_laws(log, rows[i], question)});
  }
  return groups;
}

/// Options that the log leaves without effect. @throws Error
void refuse_idle(const learn::ShopLog& log, const Arguments& arguments,
                 const answer::LearnView& view) {
  if (arguments.given.contains("same-delivery") && log.days.empty()) {
    throw Error(
        "--same-delivery: does nothing to a log without dates; one with a column date heeds it");
  }
  const auto seasoned = [](const learn::ShopLaws& laws) {
    return laws.pump.part && laws.pump.part->laws.season.told;
  };
  const bool any = seasoned(view.laws) || std::ranges::any_of(view.groups, [&](const auto& group) {
                     return seasoned(group.laws);
                   });
  if (arguments.on_day && !any) {
    throw Error(
        "--on: does nothing, since the log tells no season; without it the answer says why");
  }
}

/// Refused where nothing of the log can be learnt from.
void require_some(const learn::ShopLog& log, bool alone) {
  using enum learn::LogColumn;
  if (alone) return learn::require_any(log, {pump_test});
  learn::require_any(log, {pump_test, reading, shown, heel});
}

}  // namespace

Answer answer_learn_log(const Call& call) {
  const Arguments& arguments = call.arguments;
  const Stopwatch watch;
  const std::string& path = arguments.log;
  const learn::ShopLog log = read_log(path, arguments);
  std::optional<scenario::Scenario> car;
  if (!arguments.scenario_path.empty()) car = read_scenario(arguments);
  require_some(log, !car);
  learn::ShopQuestion question;
  question.same_delivery_days = arguments.same_delivery_days;
  if (arguments.on_day) question.on_day = static_cast<double>(*arguments.on_day);
  if (!arguments.pump.empty()) question.pump = named(log.pump, "pump", arguments.pump);
  answer::LearnView view;
  view.file = path;
  view.group_column = arguments.group;
  if (!log.days.empty()) view.same_delivery_days = arguments.same_delivery_days;
  view.unused = unused_columns(log, arguments);
  for (const auto& [key, words] : log.overrides) view.unused.push_back(key);
  if (car) {
    question.car = &*car;
    question.of_car = car_of(log, arguments, *car);
    if (question.of_car && log.car.any()) view.car = log.car.names[*question.of_car];
    view.exact_tests = answer::is_exact(car->tester);
    view.exact_click_off = distributions::is_exact(car->tank.click_off);
    view.indication = car->heel.indicated_l;
  }
  if (question.pump) view.pump = log.pump.names[*question.pump];
  std::vector<std::size_t> rows(log.rows());
  std::iota(rows.begin(), rows.end(), std::size_t{0});
  view.laws = learn::shop_laws(log, rows, question);
  if (!arguments.group.empty()) view.groups = grouped(log, question);
  refuse_idle(log, arguments, view);
  return {arguments.json ? answer::closed(answer::members(view, watch.seconds()))
                         : render::scenario_text(answer::learned(view))};
}

}  // namespace blendrisk::cli
