#include "answer/verify.hpp"

#include "answer/shared.hpp"
#include "cli/answering.hpp"
#include "cli/shop_log.hpp"
#include "learn/with_laws.hpp"
#include "render/verify_csv.hpp"
#include "units/clock.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_most_tested = 100'000;

/// The log's rows with a test of the tank after the fill.
std::vector<std::size_t> tested_rows(const learn::ShopLog& log) {
  learn::require_any(log, {learn::LogColumn::landed_test});
  std::vector<std::size_t> rows;
  for (std::size_t row = 0; row < log.rows(); ++row) {
    if (log.number(learn::LogColumn::landed_test, row)) rows.push_back(row);
  }
  if (rows.size() <= k_most_tested) return rows;
  throw Error("has more than 100000 fills that were tested after",
              "fewer are accepted, chosen by --where", {log.file});
}

/// Laws from the rows of the days before a row's, or without days from those that stand before it.
class LawsBefore {
 public:
  explicit LawsBefore(const learn::ShopLog& log)
      : log_(log), order_(log.by_day()), before_(log.rows(), 0) {
    for (std::size_t i = 0; i < order_.size(); ++i) {
      const std::size_t row = order_[i];
      const bool same_day =
          i > 0 && !log.days.empty() && log.days[row] && log.days[row] == log.days[order_[i - 1]];
      before_[row] = same_day ? before_[order_[i - 1]] : i;
    }
  }

  /// @param scenario  of the row
  learn::ShopLaws of(std::size_t row, const scenario::Scenario& scenario) const {
    learn::ShopQuestion question;
    question.car = &scenario;
    question.of_car = log_.car.any() ? log_.car.of_row[row] : 0;
    if (log_.pump.any()) question.pump = log_.pump.of_row[row];
    question.pump_alone = true;
    if (!log_.days.empty() && log_.days[row]) question.on_day = *log_.days[row];
    return learn::shop_laws(log_, std::span(order_).first(before_[row]), question);
  }

 private:
  const learn::ShopLog& log_;
  std::vector<std::size_t> order_;
  std::vector<std::size_t> before_;  ///< of a row, how many of the order
};

void refuse_many_to_learn(const learn::ShopLog& log, std::size_t tested) {
  constexpr std::size_t k_most_learnt = 2000;
  if (tested <= k_most_learnt) return;
  throw Error("has more than 2000 fills that were tested after, each of which --learn learns for",
              "fewer are accepted, chosen by --where", {log.file});
}

answer::VerifyView view_of(const learn::ShopLog& log, const Arguments& arguments,
                           const std::vector<std::size_t>& tested) {
  answer::VerifyView view;
  view.file = log.file;
  view.group_column = arguments.group;
  view.chosen = log.rows();
  view.unused = unused_columns(log, arguments);
  for (const std::size_t row : tested) {
    const learn::LogRow one = log.row(row);
    view.rows.push_back({one.line, one.day ? units::calendar_text(*one.day) : std::string(),
                         std::string(one.car), std::string(one.group)});
  }
  return view;
}

/// A verdict on each group, in the order in which they first stand.
std::vector<answer::GroupJudgement> grouped(const answer::VerifyView& view) {
  std::vector<answer::GroupJudgement> groups;
  std::vector<std::vector<const decide::Forecast*>> members;
  for (std::size_t i = 0; i < view.rows.size(); ++i) {
    const std::string& name = view.rows[i].group;
    const auto found = std::ranges::find(groups, name, &answer::GroupJudgement::name);
    const auto at = static_cast<std::size_t>(found - groups.begin());
    if (found == groups.end()) {
      groups.push_back({name, 0, {}});
      members.emplace_back();
    }
    ++groups[at].rows;
    if (!view.result.rows[i].excluded) members[at].push_back(&view.result.rows[i]);
  }
  for (std::size_t i = 0; i < groups.size(); ++i) {
    if (!members[i].empty()) groups[i].verdict = decide::verdict_on(members[i]);
  }
  return groups;
}

answer::Figure figure_of(const answer::VerifyView& view, const std::string& show) {
  if (!view.result.all) throw Error("no row was forecast", "", {"verify: nothing to draw"});
  if (show == "reliability") return answer::reliability_figure(view);
  const bool few = view.result.all->calibration.rows < answer::k_few_verified;
  if (show == "rows" || (show.empty() && few)) return answer::rows_figure(view);
  return answer::shares_figure(view);
}

void require_log_and_scenario(const Arguments& arguments) {
  if (arguments.scenario_paths.size() >= 2) return;
  throw Error(
      "verify: a log and a scenario are wanted; `blendrisk verify LOG.csv SCENARIO.ini` is "
      "accepted");
}

Answer answer_verify(const Call& call) {
  const Arguments& arguments = call.arguments;
  const Stopwatch watch;
  const std::string& path = arguments.scenario_path;
  const learn::ShopLog log = read_log(path, arguments);
  const std::vector<std::size_t> tested = tested_rows(log);
  const LoggedFills fills(log, arguments);
  answer::VerifyView view = view_of(log, arguments, tested);
  const scenario::Scenario first = fills.scenario_of(tested.front());
  const scenario::Tester& tester = first.tester;
  view.title =
      arguments.scenario_paths.size() > 2 ? path.substr(path.find_last_of('/') + 1) : first.title;
  view.exact_tests = answer::is_exact(tester);
  view.shared_bias = !distributions::is_exact(tester.bias);
  view.learned = arguments.learn;
  std::optional<LawsBefore> laws;
  if (view.learned) {
    refuse_many_to_learn(log, tested.size());
    laws.emplace(log);
  }
  const auto scenario_of = [&](std::size_t row) {
    scenario::Scenario scenario = fills.scenario_of(row);
    if (!laws) return scenario;
    return learn::with_laws(scenario, laws->of(row, scenario),
                            [&](std::string_view key) { return fills.gives(row, key); });
  };
  view.result = swept(call, "tests", "", [&](const auto& progress) {
    return decide::verify(
        tested.size(),
        [&](std::size_t i) {
          const learn::LogRow row = log.row(tested[i]);
          return decide::TestedFill{scenario_of(tested[i]), row.pump_test, *row.landed_test};
        },
        arguments.options, progress);
  });
  if (!arguments.group.empty()) view.groups = grouped(view);
  if (arguments.show == "reliability") {
    std::vector<double> chances;
    for (const std::size_t i : answer::forecast_rows(view)) {
      chances.push_back(view.result.rows[i].miss_chance);
    }
    view.band = estimate::reliability_band(chances, arguments.options.seed);
  }
  write_figure_or_data(
      arguments, [&] { return figure_of(view, arguments.show); },
      [&] { return render::verify_csv(view); });
  return {told(arguments, first, view, watch.seconds())};
}

}  // namespace

extern const Command k_verify{
    .name = "verify",
    .question = "did what was forecast come true? forecasts held against a shop's log",
    .usage =
        "LOG.csv SCENARIO.ini [MORE.ini ...] [--where COLUMN=VALUE] [--section.key VALUE ...]\n"
        "    [options]",
    .about =
        R"(Every fill of a shop's log with a test of the tank after it (landed_test_percent) is forecast from
what was known before that test, and held against it: whether the forecasts were honest, too sure
of themselves, not sure enough or off, by how much, and what so many tests can tell. Columns that
are read: date, car, pump, indicated_l or distance_left_km, shown_l with stopped_by (click-off or
hand), heel_l, pump_test_percent, reading_before_percent, and any key of a scenario, which takes the
place of the file's in its row; --where chooses rows by any column. tester.bias, tester.sd and
tester.step give the tests an error of their own. With several cars each has its scenario, called by
its title or its file's name as in the column car. With --learn each fill is forecast by laws that
`learn --log` makes of the rows of earlier days, and the scenario's where they tell none.
  blendrisk verify log.csv car.ini --where car=van --tester.sd "1 %"
Pictures, by gnuplot: --show shares, where the tests lay in their forecasts; --show reliability,
chances of a miss against misses; --show rows, each test in its forecast. A .csv has all rows.
)",
    .options = "json seed threads where group learn show output",
    .answer = answer_verify,
    .scenarios = Scenarios::several,
    .output = ".csv .svg .png .pdf",
    .shows = "shares reliability rows",
    .refuse = require_log_and_scenario,
    .first_file = ".csv"};

}  // namespace blendrisk::cli
