#include "render/csv.hpp"

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

void add(std::vector<std::string>& fields, const estimate::Estimate& estimate) {
  const auto& [low, high] = estimate.interval;
  for (const double value : {estimate.chance, estimate.standard_error, low, high}) {
    fields.push_back(answer::exact_text(value));
  }
}

void add_names(std::vector<std::string>& names) {
  names.insert(names.end(), {"chance", "standard_error", "interval_95_low", "interval_95_high"});
}

void add(std::vector<std::string>& fields, const std::optional<double>& value) {
  fields.push_back(value ? answer::exact_text(*value) : "");
}

std::string curve_csv(const answer::CurveView& view) {
  std::vector<std::string> names{view.along.key};
  if (!view.by.values.empty()) names.push_back(view.by.key);
  if (view.has_chances()) {
    add_names(names);
  } else if (view.request.show == decide::CurveShow::amount) {
    names.insert(names.end(), {"safe_amount_l", "reason"});
  } else {
    names.insert(names.end(), {"mean", "standard_deviation", "quantile_0.025", "quantile_0.05",
                               "quantile_0.5", "quantile_0.95", "quantile_0.975"});
  }
  std::string text = csv_caution() + csv_line(names);
  for (std::size_t curve = 0; curve < view.curves(); ++curve) {
    for (std::size_t i = 0; i < view.values.size(); ++i) {
      const decide::CurvePoint& one = view.point(curve, i);
      std::vector<std::string> fields{answer::exact_text(view.values[i])};
      if (!view.by.values.empty()) fields.push_back(view.by.values[curve]);
      if (one.chance) {
        add(fields, *one.chance);
      } else if (one.landed) {
        add(fields, one.landed->mean);
        add(fields, one.landed->standard_deviation);
        for (const double quantile : one.landed->quantiles) add(fields, quantile);
      } else {
        add(fields, one.litres);
        fields.push_back(one.litres ? "" : "none.amount"_w);
      }
      text += csv_line(fields);
    }
  }
  return text;
}

}  // namespace blendrisk::render
