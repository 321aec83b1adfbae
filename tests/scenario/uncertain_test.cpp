#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "answer/words.hpp"
#include "cli/help.hpp"
#include "estimate/measured.hpp"
#include "line/fuel_line.hpp"
#include "sampling/joint_sampler.hpp"
#include "scenario/correlation.hpp"
#include "scenario/keys.hpp"
#include "scenario/known.hpp"
#include "tests/scenarios.hpp"
#include "units/unit_table.hpp"

// What holds of every row of the table of keys that is of an uncertain input, so that a row alone
// makes an input read, drawn, held, set to its mean, known, measured, labelled and documented.
namespace blendrisk::scenario {
namespace {

using sampling::CaseInputs;
using sampling::Scope;

// Everything matters: two metered fills, hoses with something in them, both loads. Invented.
constexpr const char* k_all = R"([tank]
capacity = 60 L
[heel]
now = 8.4 L
to-pump = 30 km
content = 10 %
[fuel]
content = 75 %
hose-volume = 0.5 L
[fill]
amount = 10 L
[fill-2]
content = 75 %
hose-volume = 0.5 L
burn-first = 5 L
amount = 10 L
[line]
filter = 0.2 L
pipe = 0.1 L
content = 12 %
[engine]
economy = 8 L/100km
idle = 0.9 L/h
gentle = 4 L/h
schedule = idle 2 min, gentle 1 min, idle
[limits]
minimum = 60 %
)";
constexpr std::size_t k_fills = 2;

/// A law that reaches beyond the physical bounds, where there are any.
std::string wide_law(const Key& key) {
  switch (key.dimension) {
    case units::Dimension::volume:
      return "normal(2 L, 1 L)";
    case units::Dimension::rate:
      return "normal(2 L/h, 1 L/h)";
    case units::Dimension::distance:
      return "normal(20 km, 10 km)";
    case units::Dimension::economy:
      return "normal(9 L/100km, 5 L/100km)";
    default:
      return "normal(20 %, 10 %)";
  }
}

std::string other_than(const Key& key) {
  return key.full_name() == "heel.gauge-error" ? "heel.content" : "heel.gauge-error";
}

/// The rows of a scenario of two fills.
std::vector<const Key*> rows() {
  std::vector<const Key*> found;
  for (const Key& key : keys()) {
    if (key.row && key.row->fill < k_fills) found.push_back(&key);
  }
  return found;
}

Scenario with(const Key& key, const std::string& law) {
  return testing::scenario_of(k_all, {{key.full_name(), law}});
}

std::vector<double> means_of(const Scenario& scenario) {
  std::vector<double> means;
  for (const Key* key : rows()) means.push_back(distributions::mean(*law_of(scenario, *key)));
  return means;
}

/// All that the input of a slot may change, with it at `value` and the others at their medians.
std::vector<double> outcomes(const CaseInputs& inputs, std::size_t slot, double value) {
  sampling::CaseBatch batch(inputs, 1);
  *batch.column(slot) = value;
  estimate::BlendColumns columns(1);
  tank::LinearBlend(inputs, {}).evaluate(batch, 1, columns);
  const line::Line line(inputs);
  line::LineCase one;
  line.load(batch, 0, one);
  std::vector<double> all{
      *columns.a(),        *columns.total(), line.old_content(batch, 0),
      line.bias(batch, 0), one.volume_l(),   models::residence_mean(one.to_sensor),
      one.return_l_per_s};
  for (const auto& phase : one.burned) all.push_back(phase.rate_l_per_s);
  return all;
}

TEST(Uncertain, EveryInputHasItsRowAndEveryUncertainKeyIsOne) {
  for (std::size_t input = 0; input < static_cast<std::size_t>(Uncertain::end); ++input) {
    const auto of_later_fill = static_cast<Uncertain>(input) == Uncertain::burn_first;
    EXPECT_NE(key_of(static_cast<Uncertain>(input), of_later_fill ? 1 : 0), nullptr) << input;
  }
  for (const Key& key : keys()) {
    EXPECT_EQ(key.row.has_value(), key.kind == Kind::uncertain) << key.full_name();
    if (key.row) {
      EXPECT_EQ(key_of(key.row->input, key.row->fill), &key) << key.full_name();
    }
  }
}

TEST(Uncertain, EveryRowIsReadToAPlaceOfItsOwn) {
  const std::vector<const Key*> all = rows();
  const std::vector<double> before = means_of(testing::scenario_of(k_all));
  for (std::size_t i = 0; i < all.size(); ++i) {
    const std::vector<double> after = means_of(with(*all[i], wide_law(*all[i])));
    for (std::size_t k = 0; k < all.size(); ++k) {
      EXPECT_EQ(after[k] != before[k], k == i) << all[i]->full_name() << " " << all[k]->full_name();
    }
  }
}

TEST(Uncertain, EveryRowIsDrawnAndHeld) {
  for (const Key* key : rows()) {
    const std::string name = key->full_name();
    const Scenario scenario = with(*key, wide_law(*key));
    const CaseInputs inputs(scenario, Scope::line);
    const std::size_t slot = inputs.slot(key->row->input, key->row->fill);
    EXPECT_EQ(inputs.key(slot), name);
    ASSERT_THAT(inputs.uncertain(inputs.size()), ::testing::ElementsAre(slot)) << name;
    sampling::CaseBatch batch(inputs, 8);
    std::vector<double> u{1e-9, 0.3, 0.5, 0.7, 0.9, 0.99, 0.999, 1.0 - 1e-16};
    std::vector<double> wanted(u.size());
    distributions::quantile(inputs[slot].law, u, wanted);
    sampling::sampler_of_all(inputs).draw_all(
        u, [](std::size_t, std::span<double>) {}, batch);
    const auto [low, high] = physical_bounds(*key);
    EXPECT_EQ(inputs[slot].held, std::isfinite(low)) << name;
    for (std::size_t i = 0; i < wanted.size(); ++i) {
      EXPECT_NEAR(batch.column(slot)[i], std::clamp(wanted[i], low, high), 1e-9) << name;
    }
    EXPECT_EQ(inputs.clamped_share(slot) > 0.0,
              std::isfinite(low) || slot == sampling::Slot::gauge_error)
        << name;
  }
}

TEST(Uncertain, EveryRowChangesSomething) {
  for (const Key* key : rows()) {
    const Scenario scenario = with(*key, wide_law(*key));
    const CaseInputs inputs(scenario, Scope::line);
    const std::size_t slot = inputs.slot(key->row->input, key->row->fill);
    const double low = distributions::quantile(inputs[slot].law, 0.4);
    const double high = distributions::quantile(inputs[slot].law, 0.6);
    EXPECT_NE(outcomes(inputs, slot, low), outcomes(inputs, slot, high)) << key->full_name();
  }
}

TEST(Uncertain, EveryRowIsSetToItsMean) {
  for (const Key* key : rows()) {
    const Scenario wide = with(*key, wide_law(*key));
    const Scenario scenario = at_means(wide);
    EXPECT_TRUE(distributions::is_exact(*law_of(scenario, *key))) << key->full_name();
    EXPECT_EQ(means_of(scenario), means_of(wide)) << key->full_name();
    EXPECT_TRUE(CaseInputs(scenario, Scope::line).uncertain(999).empty()) << key->full_name();
  }
}

// And what is correlated with it follows to where its own score is.
TEST(Uncertain, EveryRowIsKnown) {
  for (const Key* key : rows()) {
    const std::string name = key->full_name();
    const std::string other = other_than(*key);
    Scenario scenario =
        testing::scenario_of(k_all, {{name, wide_law(*key)}, {other, wide_law(*find_key(other))}});
    scenario.correlations.push_back({other, name, 0.5});
    const Distribution law = *law_of(scenario, *key);
    const double value = distributions::quantile(law, 0.75);
    const Scenario known = known_at(scenario, name, value);
    EXPECT_TRUE(distributions::is_exact(*law_of(known, *key))) << name;
    EXPECT_EQ(distributions::mean(*law_of(known, *key)), value) << name;
    ASSERT_EQ(known.known.size(), 1U) << name;
    EXPECT_EQ(known.known[0].key, name);
    EXPECT_NEAR(known.known[0].score, 0.6744897502, 1e-6) << name;  // Φ⁻¹(3/4), from memory
    const CaseInputs inputs(known, Scope::line);
    const std::size_t slot = inputs.slot(find_key(other)->row->input);
    EXPECT_THAT(inputs.uncertain(999), ::testing::ElementsAre(slot)) << name;
    EXPECT_NEAR(sampling::score_row(inputs, {}, slot).offset,
                score_correlation(0.5) * known.known[0].score, 1e-9)
        << name;
  }
}

TEST(Uncertain, EveryRowMayBeMeasured) {
  for (const Key* key : rows()) {
    const std::string name = key->full_name();
    const ReadText files = [key](const std::string&) {
      std::string text = "x\n";
      for (const char* value : {"1", "2", "3"}) {
        text +=
            std::string(value) + " " + std::string(units::units_of(key->dimension)[0].name) + "\n";
      }
      return text;
    };
    const Scenario scenario =
        read({"test.ini", k_all}, {{name, "measured(\"a.csv\", \"x\")"}}, files);
    const std::vector<Measured> all = measured(scenario);
    ASSERT_EQ(all.size(), 1U) << name;
    EXPECT_EQ(all[0].key, name);
    EXPECT_EQ(all[0].count, 3U) << name;
    const CaseInputs inputs(scenario, Scope::line);
    const auto bearing = estimate::measured_inputs(inputs);
    ASSERT_EQ(bearing.size(), 1U) << name;
    const Distribution& law = *law_of(scenario, *key);
    for (std::size_t end = 0; end < 2; ++end) {
      const double at = bearing[0].ends[end];
      const Scenario there = estimate::at_end(scenario, bearing[0], end);
      EXPECT_EQ(distributions::mean(*law_of(there, *key)), at) << name;
      EXPECT_TRUE(end == 0 ? at < distributions::quantile(law, 0.1)
                           : at > distributions::quantile(law, 0.9))
          << name << " " << at;
      EXPECT_GE(at, physical_bounds(*key).low) << name;
      EXPECT_LE(at, physical_bounds(*key).high) << name;
    }
  }
}

TEST(Uncertain, EveryRowIsLabelledAndDocumented) {
  const std::string help = cli::help_text("keys");
  const std::string manual = cli::help_text("scenario");
  for (const Key* key : rows()) {
    const std::string name = key->full_name();
    EXPECT_NE(answer::label(name), name);
    EXPECT_LE(answer::label(name).size(), answer::k_label_columns) << name;
    EXPECT_FALSE(key->meaning.empty()) << name;
    EXPECT_NE(help.find("\n  " + key->name + " "), std::string::npos) << name;
    EXPECT_NE(help.find(key->meaning), std::string::npos) << name;
    EXPECT_NE(help.find(std::string("range: ") + key->range.text), std::string::npos) << name;
    EXPECT_NE(manual.find("uncertain " + std::string(units::name(key->dimension))),
              std::string::npos)
        << name;
  }
}

}  // namespace
}  // namespace blendrisk::scenario
