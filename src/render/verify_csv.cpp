#include "render/verify_csv.hpp"

#include "answer/format.hpp"
#include "render/csv.hpp"

namespace blendrisk::render {

std::string verify_csv(const answer::VerifyView& view) {
  std::vector<std::string> names{"line", "date", "car"};
  if (!view.group_column.empty()) names.emplace_back("group");
  for (const char* name : {"test", "mean", "standard_deviation"}) names.emplace_back(name);
  for (const double order : decide::k_forecast_orders) {
    names.push_back("quantile_" + answer::exact_text(order));
  }
  for (const char* name :
       {"share_below", "chance_of_miss", "missed", "crps", "plain", "excluded_by"}) {
    names.emplace_back(name);
  }
  std::string text = csv_caution() + csv_line(names);
  for (std::size_t i = 0; i < view.rows.size(); ++i) {
    const answer::VerifiedRow& row = view.rows[i];
    const decide::Forecast& forecast = view.result.rows[i];
    const bool told = !forecast.excluded;
    std::vector<std::string> fields{std::to_string(row.line), row.date, row.car};
    if (!view.group_column.empty()) fields.push_back(row.group);
    const auto add = [&](double value) {
      fields.push_back(told ? answer::exact_text(value) : std::string());
    };
    fields.push_back(answer::exact_text(forecast.test));
    add(forecast.mean);
    add(forecast.standard_deviation);
    for (const double quantile : forecast.quantiles) add(quantile);
    add(forecast.share);
    add(forecast.miss_chance);
    fields.emplace_back(forecast.missed ? "1" : "0");
    add(forecast.crps);
    fields.push_back(answer::exact_text(forecast.plain));
    fields.push_back(told ? "" : forecast.excluded->key);
    text += csv_line(fields);
  }
  return text;
}

}  // namespace blendrisk::render
