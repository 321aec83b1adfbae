#include "cli/shop_log.hpp"

#include <algorithm>
#include <filesystem>

#include "answer/format.hpp"
#include "scenario/ini.hpp"
#include "text/letter_case.hpp"
#include "text/quoting.hpp"

namespace blendrisk::cli {
namespace {

/// Keys with their values, of which the first to come stays.
class RowKeys {
 public:
  explicit RowKeys(std::vector<scenario::Override> keys) : keys_(std::move(keys)) {}

  bool has(const std::string& key) const {
    return std::ranges::count(keys_, key, &scenario::Override::key) > 0;
  }
  void add(const std::string& key, const std::string& value) {
    if (!has(key)) keys_.push_back({key, value});
  }
  /// In place of any that was there.
  void put(const std::string& key, const std::string& value) {
    std::erase_if(keys_, [&](const scenario::Override& one) { return one.key == key; });
    add(key, value);
  }
  void add(const std::string& key, const std::optional<double>& value, const char* unit,
           double factor = 1.0) {
    if (value) add(key, answer::exact_text(factor * *value) + unit);
  }
  std::vector<scenario::Override> take() { return std::move(keys_); }

 private:
  std::vector<scenario::Override> keys_;
};

/// What was truly left, known to the hundredth of a litre, in place of what the gauge shows.
void add_heel(const learn::LogRow& row, RowKeys& keys) {
  if (row.heel_l && !keys.has("heel.indicated")) {
    keys.add("heel.indicated", row.heel_l, " L");
    keys.put("heel.gauge-error", "uniform(-0.005 L, 0.005 L)");
    keys.put("heel.gauge-step", "0 L");
  } else if (row.indicated_l) {
    keys.add("heel.indicated", row.indicated_l, " L");
  } else if (!keys.has("heel.indicated") && !keys.has("heel.now")) {
    keys.add("heel.distance-left", row.distance_left_km, " km");
  }
}

void add_columns(const learn::LogRow& row, RowKeys& keys) {
  add_heel(row, keys);
  if (row.reading_before && !keys.has("heel.content")) {
    keys.add("heel.reading", std::clamp(*row.reading_before, 0.0, 1.0), " %", 100.0);
  }
  if (!row.shown_l) return;
  keys.add("fill.shown", row.shown_l, " L");
  if (row.stopped_by) {
    keys.add("fill.stopped-by",
             *row.stopped_by == scenario::StoppedBy::hand ? "hand" : "click-off");
  } else if (!keys.has("fill.stopped-by")) {
    throw Error("is missing beside what the dispenser showed", "click-off or hand",
                {{}, 0, "stopped_by"});
  }
}

}  // namespace

learn::ShopLog read_log(const std::string& path, const Arguments& arguments) {
  return learn::read_shop_log(path, csv_log_text(path), {arguments.where, arguments.group});
}

LoggedFills::LoggedFills(const learn::ShopLog& log, const Arguments& arguments)
    : log_(log), beside_(arguments.overrides) {
  for (std::size_t i = 1; i < arguments.scenario_paths.size(); ++i) {
    const std::string& path = arguments.scenario_paths[i];
    ScenarioFile file(path);
    const std::string title = scenario::value_of(file.entries(), "title");
    cars_.push_back({path, std::filesystem::path(path).stem().string(), title, std::move(file)});
  }
}

const LoggedFills::Car& LoggedFills::car_of(const learn::LogRow& row) const {
  // The only scenario is that of the only car, whatever it is called.
  if (cars_.size() == 1 && log_.car.names.size() <= 1) return cars_.front();
  if (!log_.car.any()) {
    throw Error("has no column car, which tells whose scenario a row has",
                "one scenario, or such a column, is accepted", {log_.file, 1});
  }
  std::string names;
  for (const Car& car : cars_) {
    if (text::same_word(car.name, row.car) || text::same_word(car.title, row.car)) return car;
    names += (names.empty() ? "" : ", ") + car.name;
  }
  throw Error("no scenario is called " + text::in_quotes(row.car),
              "the scenarios are " + text::in_quotes(names, 200) +
                  ", by file or title; --where car=... chooses rows",
              {{}, 0, "car"});
}

scenario::Scenario LoggedFills::scenario_of(std::size_t row) const {
  const learn::LogRow one = log_.row(row);
  return text::at({log_.file, one.line}, [&] {
    const Car& car = car_of(one);
    RowKeys keys(beside_);
    for (const scenario::Override& each : log_.overrides_of(row)) keys.add(each.key, each.value);
    add_columns(one, keys);
    try {
      scenario::Scenario found = car.file.read(keys.take());
      if (found.fills.size() == 1) return found;
    } catch (const Error& error) {
      // What the row gives stands in the row; what is given beside it is an option.
      const std::string key =
          error.place.source.starts_with("--") ? error.place.source.substr(2) : std::string();
      const bool beside = std::ranges::count(beside_, key, &scenario::Override::key) > 0;
      if (key.empty() || beside) throw;
      throw Error(error.wrong, error.accepted, {{}, 0, key});
    }
    throw Error("has several fills, and a row of a log is one",
                "a scenario of one fill is accepted", {car.path});
  });
}

bool LoggedFills::gives(std::size_t row, std::string_view key) const {
  const auto is = [&](const scenario::Override& one) { return one.key == key; };
  if (std::ranges::any_of(beside_, is)) return true;
  if (std::ranges::any_of(log_.overrides_of(row), is)) return true;
  return key == "heel.gauge-error" && log_.number(learn::LogColumn::heel, row).has_value();
}

std::vector<std::string> unused_columns(const learn::ShopLog& log, const Arguments& arguments) {
  std::vector<std::string> unused;
  for (const std::string& name : log.unused) {
    const auto asked = [&](const auto& where) { return text::same_word(where.first, name); };
    const bool heeded =
        text::same_word(name, arguments.group) || std::ranges::any_of(arguments.where, asked);
    if (!heeded && !name.empty()) unused.push_back(name);
  }
  return unused;
}

}  // namespace blendrisk::cli
