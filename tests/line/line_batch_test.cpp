#include "line/line_batch.hpp"

#include <gtest/gtest.h>

#include <limits>

#include "sampling/joint_sampler.hpp"
#include "sampling/xoshiro.hpp"
#include "tests/scenarios.hpp"

namespace blendrisk::line::line_batch_test {
namespace {

using scenario::Override;

constexpr double k_ever = std::numeric_limits<double>::infinity();
constexpr std::size_t k_cases = 200;

/// Every case of a batch, beside the same case alone.
void expect_the_same(const scenario::Scenario& scenario) {
  const sampling::CaseInputs inputs(scenario, sampling::Scope::line);
  const Line line(inputs);
  sampling::CaseBatch batch(inputs, k_cases);
  const sampling::JointSampler sampler = sampling::sampler_of_all(inputs);
  sampling::Xoshiro numbers(17);
  std::vector<double> u(k_cases);
  sampler.draw_all(
      u, [&](std::size_t, std::span<double> to) { numbers.fill(to); }, batch);
  std::vector<double> landed(k_cases);
  std::vector<double> total(k_cases, 50.0);
  for (std::size_t i = 0; i < k_cases; ++i) landed[i] = 0.6 + 0.001 * static_cast<double>(i);
  LineBatch lines(line);
  lines.load(batch, landed.data(), total.data(), k_cases);
  LineCase one;
  std::vector<double> passed(k_cases);
  for (std::size_t i = 0; i < k_cases; ++i) {
    line.load(batch, i, one);
    const double old = line.old_content(batch, i);
    EXPECT_EQ(lines.old()[i], old);
    EXPECT_DOUBLE_EQ(lines.settled()[i], one.settled(landed[i], 50.0, old));
    EXPECT_EQ(lines.bias()[i], line.bias(batch, i));
    EXPECT_DOUBLE_EQ(lines.volume_l(i), one.volume_l());
    EXPECT_EQ(lines.to_sensor().chain(i).stirred_l, one.to_sensor.stirred_l);
    EXPECT_EQ(lines.to_injectors().chain(i).stirred_l, one.to_injectors.stirred_l);
    EXPECT_EQ(lines.to_injectors().chain(i).pipe_l, one.to_injectors.pipe_l);
    EXPECT_EQ(lines.to_injectors().pipe, one.to_injectors.pipe);
  }
  for (const Moment moment : {Moment{Moment::By::burned, 0.0}, Moment{Moment::By::burned, 0.3},
                              Moment{Moment::By::burned, k_ever}, Moment{Moment::By::time, 100.0},
                              Moment{Moment::By::time, 900.0}}) {
    if (moment.by == Moment::By::time && !line.has_rates()) continue;
    lines.passed(moment, passed);
    for (std::size_t i = 0; i < k_cases; ++i) {
      line.load(batch, i, one);
      EXPECT_DOUBLE_EQ(passed[i], one.passed(moment));
      EXPECT_DOUBLE_EQ(lines.burned_once_passed(i, passed[i]), one.burned_once_passed(passed[i]));
      if (!line.has_rates()) continue;
      EXPECT_DOUBLE_EQ(lines.time_once_passed(i, passed[i]), one.time_once_passed(passed[i]));
    }
  }
}

TEST(LineBatch, IsEachCaseAlone) {
  const std::vector<Override> back{{"line.return-flow", "normal(20 L/h, 2 L/h)"}};
  const std::vector<Override> driven{{"engine.gentle", "normal(4 L/h, 0.5 L/h)"},
                                     {"engine.schedule", "idle 2 min, gentle 5 min, idle"}};
  std::vector<Override> both = back;
  both.insert(both.end(), driven.begin(), driven.end());
  for (const auto& more : {std::vector<Override>{}, back, driven, both}) {
    expect_the_same(testing::example("wagon-line.ini", more));
  }
  expect_the_same(testing::example("sedan.ini", {{"line.pipe", "uniform(0.08 L, 0.2 L)"}}));
  expect_the_same(testing::example("wagon-reading.ini", {{"line.filter", "0.2 L"}}));
}

}  // namespace
}  // namespace blendrisk::line::line_batch_test
