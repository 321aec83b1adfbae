#include "learn/shop_laws.hpp"
#include "models/sensor.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace blendrisk::learn {
namespace {

using distributions::Distribution;

/// Standard deviation, by quantiles: that of a law without one is that of its middle.
double standard_deviation_of(const Distribution& law) {
  if (distributions::is_exact(law)) return 0.0;
  constexpr int k_points = 2000;
  const double center = distributions::quantile(law, 0.5);
  double sum = 0.0;
  double squares = 0.0;
  for (int i = 0; i < k_points; ++i) {
    const double off = distributions::quantile(law, (i + 0.5) / k_points) - center;
    sum += off / k_points;
    squares += off * off / k_points;
  }
  return std::sqrt(std::max(squares - sum * sum, 0.0));
}

TesterError tester_of(const scenario::Scenario* car) {
  if (car == nullptr) return {};
  const scenario::Tester& tester = car->tester;
  return {distributions::mean(tester.bias), standard_deviation_of(tester.bias),
          tester.sd * tester.sd + models::rounding_variance(tester.step)};
}

/// Numbers without gaps, in the order in which they are asked for.
class Numbers {
 public:
  std::size_t of(std::uint32_t word) {
    return numbers_.try_emplace(word, numbers_.size()).first->second;
  }
  std::optional<std::size_t> known(std::uint32_t word) const {
    const auto found = numbers_.find(word);
    return found == numbers_.end() ? std::nullopt : std::optional(found->second);
  }

 private:
  std::map<std::uint32_t, std::size_t> numbers_;
};

std::uint32_t word_of(const LogWords& words, std::size_t row) {
  return words.any() ? words.of_row[row] : 0;
}

Told<PumpPart> pump_part(const ShopLog& log, std::span<const std::size_t> rows,
                         const ShopQuestion& question, const TesterError& tester) {
  PumpPart part;
  std::vector<PumpTest> tests;
  Numbers pumps;
  for (const std::size_t row : rows) {
    const auto content = log.number(LogColumn::pump_test, row);
    if (!content) continue;
    PumpTest test{pumps.of(word_of(log.pump, row)), std::nullopt, *content};
    if (!log.days.empty() && log.days[row]) test.day = *log.days[row];
    if (test.pump == part.names.size()) part.names.emplace_back(log.pump.at(row));
    tests.push_back(test);
  }
  if (tests.empty()) return {std::nullopt, Untold::no_pump_test};
  PumpQuestion asked{question.same_delivery_days, question.on_day, tester};
  if (question.pump && question.pump_alone) {
    asked.only = pumps.known(*question.pump).value_or(part.names.size());
  }
  part.laws = pump_laws(tests, asked);
  if (question.pump) {
    part.chosen = pumps.known(*question.pump);
    part.untested = !part.chosen;
  } else if (part.names.size() == 1) {
    part.chosen = 0;
  }
  for (const PumpTest& test : tests) {
    if (part.chosen == test.pump) part.contents.push_back(test.content);
  }
  return {std::move(part)};
}

Told<SensorPart> sensor_part(const ShopLog& log, std::span<const std::size_t> rows,
                             const ShopQuestion& question, const TesterError& tester) {
  if (question.car == nullptr) return {std::nullopt, Untold::not_asked};
  std::vector<SensorCheck> checks;
  std::vector<std::size_t> own_lines;
  Numbers cars;
  for (const std::size_t row : rows) {
    const auto reading = log.number(LogColumn::reading, row);
    const auto test = log.number(LogColumn::landed_test, row);
    if (!reading || !test) continue;
    const std::uint32_t car = word_of(log.car, row);
    checks.push_back({cars.of(car), *reading, *test});
    if (question.of_car == car) own_lines.push_back(log.lines[row]);
  }
  if (checks.empty()) return {std::nullopt, Untold::no_check};
  const scenario::Limits& limits = question.car->limits;
  SensorPart part;
  part.checks = checks.size();
  part.laws = sensor_laws(checks, {tester, question.car->sensor.step,
                                   limits.minimum ? limits.minimum : limits.maximum});
  if (question.of_car) part.of = cars.known(*question.of_car);
  if (part.of) {
    for (const std::size_t i : part.own()->off) part.off.push_back(own_lines[i]);
  }
  return {std::move(part)};
}

std::optional<double> indicated(const ShopLog& log, std::size_t row, const scenario::Heel& heel) {
  if (const auto shown = log.number(LogColumn::indicated, row)) return shown;
  const auto distance = log.number(LogColumn::distance_left, row);
  if (!distance || !heel.economy_l_per_km) return {};
  return heel.reserve_l + *distance * *heel.economy_l_per_km;
}

Told<GaugePart> gauge_part(const ShopLog& log, std::span<const std::size_t> rows,
                           const ShopQuestion& question) {
  if (question.car == nullptr) return {std::nullopt, Untold::not_asked};
  if (!question.of_car) return {std::nullopt, Untold::no_such_car};
  const scenario::Scenario& car = *question.car;
  std::vector<GaugeRow> fills;
  std::vector<std::size_t> lines;
  for (const std::size_t row : rows) {
    if (word_of(log.car, row) != *question.of_car) continue;
    const auto shows = indicated(log, row, car.heel);
    if (!shows) continue;
    GaugeRow fill{*shows, {}, log.number(LogColumn::heel, row)};
    const bool full =
        !log.stopped_by.empty() && log.stopped_by[row] == scenario::StoppedBy::click_off;
    if (full) fill.shown = log.number(LogColumn::shown, row);
    if (!fill.shown && !fill.heel) continue;
    fills.push_back(fill);
    lines.push_back(log.lines[row]);
  }
  if (fills.empty()) return {std::nullopt, Untold::no_fill};
  const Distribution& meter = car.fills.front().meter_error;
  GaugeQuestion asked;
  asked.at = car.heel.indicated_l;
  asked.step = car.heel.gauge_step_l;
  asked.click_off = distributions::mean(car.tank.click_off);
  asked.click_off_sd = standard_deviation_of(car.tank.click_off);
  asked.meter_error = distributions::mean(meter);
  asked.meter_error_sd = standard_deviation_of(meter);
  GaugePart part{gauge_laws(fills, asked), {}};
  for (const std::size_t i : part.laws.off) part.off.push_back(lines[i]);
  return {std::move(part)};
}

template <class Law>
const Law* pointer(const std::optional<Law>& law) {
  return law ? &*law : nullptr;
}

}  // namespace

const StudentLaw* PumpPart::law() const {
  if (chosen) return pointer(laws.pumps[*chosen].law);
  return untested ? pointer(laws.new_pump) : nullptr;
}

const StudentLaw* SensorPart::bias() const {
  return is_own() ? pointer(own()->bias) : pointer(laws.new_sensor);
}

std::optional<double> SensorPart::noise() const {
  if (is_own()) return own()->noise;
  return laws.pooled_told ? std::optional(laws.pooled_noise) : std::nullopt;
}

ShopLaws shop_laws(const ShopLog& log, std::span<const std::size_t> rows,
                   const ShopQuestion& question) {
  const TesterError tester = tester_of(question.car);
  ShopLaws laws;
  laws.rows = rows.size();
  for (const std::size_t row : rows) {
    if (question.of_car == word_of(log.car, row)) ++laws.of_car;
  }
  laws.pump = pump_part(log, rows, question, tester);
  laws.sensor = sensor_part(log, rows, question, tester);
  laws.gauge = gauge_part(log, rows, question);
  return laws;
}

}  // namespace blendrisk::learn
