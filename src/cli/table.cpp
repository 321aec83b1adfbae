#include "decide/table.hpp"

#include <chrono>
#include <stdexcept>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/files.hpp"
#include "cli/interrupt.hpp"
#include "cli/output.hpp"
#include "cli/scenario_file.hpp"
#include "report/table_text.hpp"
#include "report/written_text.hpp"
#include "scenario/quoting.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_largest_part = 256'000'000;
constexpr std::size_t k_most_cells = 4'000'000;

Answer join(const Arguments& arguments) {
  std::vector<std::string> parts;
  for (const std::string& path : arguments.scenario_paths) {
    try {
      parts.push_back(read_bytes(path, k_largest_part));
    } catch (const FileError& error) {
      throw UsageError(scenario::escaped(path) + ": " + error.what() +
                       "; files of `table --part k/n` are accepted");
    }
    try {
      report::check_part(parts.back());
    } catch (const std::invalid_argument& error) {
      throw UsageError(scenario::escaped(path) + ": " + error.what());
    }
  }
  std::string whole;
  try {
    whole = report::joined_csv(parts);
  } catch (const std::invalid_argument& error) {
    throw UsageError(std::string("--join: ") + error.what());
  }
  if (arguments.output.empty()) return {whole, k_answered};
  write_output(arguments.output, whole);
  return {report::written_text(arguments.output, ""), k_answered};
}

report::TableView view_of(const Arguments& arguments) {
  report::TableView view;
  if (arguments.rows.empty() || arguments.columns.empty()) {
    throw UsageError(
        "table: --rows and --columns are both needed, as in --rows heel.indicated=2:20:1L "
        "--columns \"fuel.content=70 %; 75 %; 80 %\"");
  }
  view.rows = scenario::parse_axis(arguments.rows, "rows");
  view.columns = scenario::parse_axis(arguments.columns, "columns");
  if (view.rows.key == view.columns.key) {
    throw UsageError("--columns: goes along the key of --rows; another key is accepted");
  }
  view.show = arguments.show;
  for (const std::string& key : {view.rows.key, view.columns.key}) {
    const bool solved = (view.show == decide::Show::heel && key == "heel.indicated") ||
                        (view.show == decide::Show::amount && key == "fill.amount");
    if (solved || key == "title") {
      throw UsageError("table: the cells do not depend on " + key + "; another key is accepted");
    }
  }
  view.files = arguments.scenario_paths;
  if (view.files.size() * view.cells_each() > k_most_cells) {
    throw UsageError("table: there are more than 4000000 cells; fewer are accepted");
  }
  return view;
}

/// Whether every cell, the first of which has the number `from`, has an amount or a reading, or a
/// chance within its scenario's accepted risk.
bool all_met(const report::TableView& view, std::size_t from) {
  for (std::size_t i = 0; i < view.cells.size(); ++i) {
    const decide::Cell& cell = view.cells[i];
    const scenario::Limits& limits = view.scenarios[(from + i) / view.cells_each()].limits;
    const bool met =
        cell.chance ? cell.chance->chance <= limits.accepted_risk : cell.litres.has_value();
    if (!met) return false;
  }
  return true;
}

}  // namespace

Answer answer_table(const Arguments& arguments, std::ostream& err) {
  if (arguments.join) return join(arguments);
  const auto start = std::chrono::steady_clock::now();
  report::TableView view = view_of(arguments);
  const bool csv = !arguments.output.empty();
  std::vector<ScenarioFile> files;
  for (const std::string& path : view.files) {
    files.emplace_back(path);
    view.scenarios.push_back(files.back().read(arguments.overrides));
  }
  const std::size_t each = view.cells_each();
  const std::size_t columns = view.columns.values.size();
  const auto scenario_of = [&](std::size_t cell) {
    std::vector<scenario::Override> overrides = arguments.overrides;
    overrides.push_back({view.rows.key, view.rows.values[cell % each / columns], true});
    overrides.push_back({view.columns.key, view.columns.values[cell % columns], true});
    return files[cell / each].read(overrides);
  };
  const std::size_t all = view.files.size() * each;
  const report::Part part = arguments.part.value_or(report::Part{});
  const std::size_t from = report::first_cell(part, all);
  const std::size_t to = report::first_cell({part.number + 1, part.count}, all);
  const double step = view.show == decide::Show::heel ? report::gauge_step(arguments.units)
                                                      : report::dispenser_step(arguments.units);
  {
    const InterruptGuard guard;
    ProgressLine line(err);
    try {
      view.cells = decide::table_cells(from, to, scenario_of, view.show, arguments.options, step,
                                       [&](std::size_t done, std::size_t cells) {
                                         line.show(done, cells, "cells");
                                         return !InterruptGuard::interrupted();
                                       });
    } catch (const estimate::ImpossibleScenario& error) {
      throw scenario::InputError(std::string("table: in a cell, ") + error.what());
    }
  }
  InterruptGuard::check();
  const int status = arguments.require && !all_met(view, from) ? k_risk_not_met : k_answered;
  if (csv) {
    write_output(arguments.output, report::table_csv(view, arguments.part));
    if (!arguments.json) return {report::written_text(arguments.output, ""), status};
  }
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
  return {arguments.json ? report::table_json(view, arguments.options, elapsed.count())
                         : report::table_text(view, arguments.options, arguments.units),
          status};
}

}  // namespace blendrisk::cli
