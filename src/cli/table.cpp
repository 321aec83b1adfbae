#include "decide/sweep.hpp"

#include "answer/table.hpp"
#include "cli/answering.hpp"
#include "cli/shop_table.hpp"
#include "render/table_csv.hpp"
#include "render/text.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_largest_part = 256'000'000;
constexpr std::size_t k_most_cells = 4'000'000;

Answer join(const Arguments& arguments) {
  std::vector<std::string> parts;
  for (const std::string& path : arguments.scenario_paths) {
    text::at(
        {path},
        [&] {
          parts.push_back(read_bytes(path, k_largest_part));
          render::check_part(parts.back());
        },
        render::k_parts_accepted);
  }
  const std::string whole = text::at({"--join"}, [&] { return render::joined_csv(parts); });
  if (arguments.output.empty()) return {whole};
  write_output(arguments.output, whole);
  return {render::written_text(arguments.output, {}, arguments.units)};
}

answer::TableView table_view(const Call& call) {
  const Arguments& arguments = call.arguments;
  answer::TableView view;
  if (arguments.rows.empty() || arguments.columns.empty()) {
    throw Error(
        "table: --rows and --columns are both needed, as in --rows heel.indicated=2:20:1L "
        "--columns \"fuel.content=70 %; 75 %; 80 %\"");
  }
  view.rows = scenario::parse_axis(arguments.rows, "rows");
  view.columns = scenario::parse_axis(arguments.columns, "columns");
  if (view.rows.key == view.columns.key) {
    throw Error("--columns: goes along the key of --rows; another key is accepted");
  }
  using decide::Show;
  view.request = table_request(arguments);
  for (const std::string& key : {view.rows.key, view.columns.key}) {
    const bool solved = (view.request.show == Show::heel && key == "heel.indicated") ||
                        (view.request.show == Show::amount && key == "fill.amount");
    if (solved || key == "title") {
      throw Error("table: the cells do not depend on " + key + "; another key is accepted");
    }
  }
  view.files = arguments.scenario_paths;
  require_at_most(call, k_most_cells, "cells", view.all_cells());
  return view;
}

/// Whether every cell, the first of which has the number `from`, has an amount or a reading, or a
/// chance within its scenario's accepted risk.
bool all_met(const answer::TableView& view, std::size_t from) {
  for (std::size_t i = 0; i < view.cells.size(); ++i) {
    const scenario::Limits& limits = view.scenarios[view.place_of(from + i).file].limits;
    if (!decide::is_met(view.cells[i], limits.accepted_risk)) return false;
  }
  return true;
}

/// Joining computes nothing.
void refuse_beside_join(const Arguments& arguments) {
  const auto refuse = [](const std::string& name) {
    throw Error("--" + name +
                ": does nothing beside --join, which puts files together; --output alone is "
                "accepted there");
  };
  for (const std::string& name : arguments.given) {
    if (name != "join" && name != "output") refuse(name);
  }
  if (!arguments.overrides.empty()) refuse(arguments.overrides.front().key);
}

void refuse_idle(const Arguments& arguments) {
  if (arguments.join) refuse_beside_join(arguments);
  const bool shop = !arguments.cars.empty() || !arguments.pumps.empty();
  for (const char* axis : {"rows", "columns"}) {
    if (!shop || !arguments.given.contains(axis)) continue;
    throw Error(std::string("--") + axis +
                ": does nothing beside --cars and --pumps, which are the rows and columns; without "
                "them it is accepted");
  }
  if (!shop && picture_format(arguments.output)) {
    throw Error("--output: a picture is of --cars and --pumps; a name ending in .csv is accepted");
  }
}

Answer answer_table(const Call& call) {
  const Arguments& arguments = call.arguments;
  if (arguments.join) return join(arguments);
  if (!arguments.cars.empty()) return answer_shop_table(call);
  const Stopwatch watch;
  answer::TableView view = table_view(call);
  std::vector<ScenarioFile> files;
  for (const std::string& path : view.files) {
    files.emplace_back(path);
    view.scenarios.push_back(files.back().read(arguments.overrides));
  }
  const auto scenario_of = [&](std::size_t cell) {
    const answer::TablePlace place = view.place_of(cell);
    const auto in_row = placed(arguments.overrides, view.rows, place.row);
    return files[place.file].read(placed(in_row, view.columns, place.column));
  };
  const render::CellRange range = render::cells_in(arguments.part, view.all_cells());
  view.cells = swept(call, "cells", "in a cell, ", [&](const auto& progress) {
    return decide::swept(range.from, range.to, scenario_of, view.request, arguments.options,
                         progress);
  });
  const int status = judged(arguments, all_met(view, range.from));
  if (!arguments.output.empty()) {
    write_output(arguments.output, render::table_csv(view, arguments.part));
    if (!arguments.json)
      return {render::written_text(arguments.output, {}, arguments.units), status};
  }
  return {told(arguments, view.scenarios.front(), view, watch.seconds()), status};
}

}  // namespace

extern const Command k_table{
    .name = "table",
    .question =
        "safe amounts, highest readings or chances over two keys, or of every car with every pump",
    .usage =
        "SCENARIO.ini [MORE.ini ...] --rows AXIS --columns AXIS [options]\n"
        "--cars FILES --pumps FILES [options]\n"
        "--join PART.csv ... [--output FILE.csv]",
    .about =
        R"(A table over two keys. An axis is KEY=FROM:TO:STEP or "KEY=V1; V2; V3"; a plain quantity given to
an uncertain key moves its law there and keeps its shape (exact(78 %) replaces it).
  blendrisk table car.ini --rows heel.indicated=2:10:2L \
    --columns "fuel.content=72 %; 76 %; 80 %"
Or every car of a shop with every pump, as text, data or a picture: a car is one scenario, a pump
another that has [fuel] alone, whose keys win over the car's.
  blendrisk table --cars 'cars/*.ini' --pumps 'pumps/*.ini' --output shop.svg
A large table can be spread: --part 1/4 --output part-1.csv and so on, then --join puts the parts
together, byte for byte as the whole.
)",
    .options =
        "cars pumps json seed threads precision cases method units rows columns show part join "
        "output require",
    .answer = answer_table,
    .scenarios = Scenarios::several,
    .output = ".csv .svg .png .pdf",
    .shows = "amount heel chance",
    .refuse = refuse_idle};

}  // namespace blendrisk::cli
