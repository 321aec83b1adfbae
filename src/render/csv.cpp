#include "render/csv.hpp"

#include "answer/table.hpp"
#include "answer/words.hpp"

namespace blendrisk::render {
namespace {

using answer::operator""_w;

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + "\"";
}

}  // namespace

std::string csv_caution() {
  return "# " + "caution.short"_w + "\n";
}

std::string csv_line(const std::vector<std::string>& fields) {
  std::string line;
  for (const std::string& field : fields) {
    if (&field != &fields.front()) line += ',';
    line += csv_field(field);
  }
  return line + "\n";
}

void add_names(std::vector<std::string>& names, decide::Show show, bool ends) {
  const auto add = [&](std::initializer_list<std::string> more) {
    names.insert(names.end(), more);
  };
  switch (show) {
    case decide::Show::landed:
      return add({"mean", "standard_deviation", "quantile_0.025", "quantile_0.05", "quantile_0.5",
                  "quantile_0.95", "quantile_0.975"});
    case decide::Show::amount:
    case decide::Show::heel:
      add({answer::show_name(show)});
      if (ends) add({answer::other_end_name(show) + "_l"});
      if (ends && show == decide::Show::amount) add({"again_from_l"});
      return add({"reason"});
    case decide::Show::chance:
    case decide::Show::arrival:
      break;
  }
  add({"chance", "standard_error", "interval_95_low", "interval_95_high"});
}

void add(std::vector<std::string>& fields, const decide::Cell& cell, decide::Show show, bool ends) {
  const auto add = [&](const std::optional<double>& value) {
    fields.push_back(value ? answer::exact_text(*value) : "");
  };
  if (cell.chance) {
    const auto& [low, high] = cell.chance->interval;
    for (const double value : {cell.chance->chance, cell.chance->standard_error, low, high}) {
      add(value);
    }
  } else if (cell.landed) {
    add(cell.landed->mean);
    add(cell.landed->standard_deviation);
    for (const double quantile : cell.landed->quantiles) add(quantile);
  } else {
    add(cell.litres);
    if (ends) add(cell.other_end_l);
    if (ends && show == decide::Show::amount) add(cell.again_from_l);
    fields.push_back(cell.litres ? "" : answer::none_reason(show));
  }
}

std::string curve_csv(const answer::CurveView& view) {
  std::vector<std::string> names{view.along.key};
  if (!view.by.values.empty()) names.push_back(view.by.key);
  add_names(names, view.request.show, false);
  std::string text = csv_caution() + csv_line(names);
  for (std::size_t i = 0; i < view.points.size(); ++i) {
    const std::size_t each = view.values.size();
    std::vector<std::string> fields{answer::exact_text(view.values[i % each])};
    if (!view.by.values.empty()) fields.push_back(view.by.values[i / each]);
    add(fields, view.points[i], view.request.show, false);
    text += csv_line(fields);
  }
  return text;
}

std::string waiting_csv(const decide::ArriveResult& result) {
  const auto number = [](const std::optional<double>& value) {
    return value ? answer::exact_text(*value) : "";
  };
  std::string text = csv_caution() + csv_line({"switch_by", "burn_l", "time_s", "reading",
                                               "shown_by_then", "within"});
  for (const decide::WaitingRow& row : result.waiting.rows) {
    text += csv_line({"reading", number(row.burn_l), number(row.time_s), number(row.reading),
                      number(row.shown_by_then), number(row.within)});
  }
  const decide::EnoughBurn& enough = result.enough;
  if (enough.burn_l) {
    text += csv_line({"burned", number(enough.burn_l), number(enough.time_s), "", "",
                      number(1.0 - enough.outside.chance)});
  }
  return text;
}

}  // namespace blendrisk::render
