#include "tank/test_forecast.hpp"

#include <algorithm>
#include <cmath>

#include "models/sensor.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/joint_sampler.hpp"
#include "sampling/sobol.hpp"
#include "scenario/keys.hpp"
#include "scenario/known.hpp"
#include "scenario/told.hpp"
#include "tank/known.hpp"
#include "tank/linear_blend.hpp"

namespace blendrisk::tank {
namespace {

using distributions::Distribution;
using sampling::Slot;
using scenario::Scenario;

constexpr std::size_t k_test_batch = 512;
constexpr std::size_t k_first_points = 8192;
constexpr std::size_t k_most_points = 131'072;
constexpr double k_worth_enough = 2000.0;
/// Of fewer the forecast is what a few cases far out make it: what was known is all but excluded.
constexpr double k_worth_least = 100.0;
/// Tells its points from those of a landing, which have one number.
constexpr std::uint64_t k_of_a_test = 1;
/// Half the width over which a law's density at a test is taken.
constexpr double k_half_width = 1e-4;
/// The least error of a test that cases are weighted by.
constexpr double k_least_error = 0.0025;

/// How a test of the pump is taken in.
enum class PumpEvidence { none, by_law, by_cases };

PumpEvidence evidence_of(const Scenario& scenario, bool tested) {
  if (!tested) return PumpEvidence::none;
  const std::size_t last = scenario.fills.size() - 1;
  const Distribution& law = scenario.fills[last].content;
  if (distributions::is_exact(law)) return PumpEvidence::by_law;
  const std::string key = scenario::key_of(scenario::Uncertain::content, last)->full_name();
  const bool correlated = std::ranges::any_of(scenario.correlations, [&](const auto& one) {
    return one.first == key || one.second == key;
  });
  return correlated || law.law().steps().values > 0 ? PumpEvidence::by_cases : PumpEvidence::by_law;
}

/// Scenarios whose last content is set case by case draw no law of it.
Scenario prepared(Scenario scenario, PumpEvidence evidence, double test) {
  if (evidence == PumpEvidence::by_law) {
    scenario.fills.back().content = distributions::exact(test);
  }
  return scenario;
}

class TestCases {
 public:
  TestCases(const Scenario& scenario, std::optional<double> pump_test, std::uint64_t seed,
            std::uint64_t row)
      : tester_(scenario.tester),
        law_(scenario.fills.back().content),
        evidence_(evidence_of(scenario, pump_test.has_value())),
        pump_test_(pump_test.value_or(0.0)),
        scenario_(prepared(scenario, evidence_, pump_test_)),
        inputs_(scenario_),
        sampler_(sampling::sampler_of_all(inputs_)),
        landing_(inputs_, {}),
        stream_(seed, sampling::Purpose::landed, row, k_of_a_test),
        batch_(inputs_, k_test_batch),
        columns_(k_test_batch),
        u_(k_test_batch),
        bias_(k_test_batch),
        pump_error_(k_test_batch),
        error_(k_test_batch) {}

  /// Appends points number `first` to first + 511.
  void append(std::size_t first, std::vector<estimate::Weighted>& points) {
    sampler_.draw_points(stream_, first, u_, batch_);
    draw_tester(first);
    std::vector<double> fits(k_test_batch, 1.0);
    if (evidence_ == PumpEvidence::by_law) set_content(fits);
    landing_.evaluate(batch_, k_test_batch, columns_);
    if (evidence_ == PumpEvidence::by_cases) weigh_content(fits);
    for (std::size_t i = 0; i < k_test_batch; ++i) {
      const double weight = fits[i] * (inputs_.weighted() ? columns_.weight()[i] : 1.0);
      fitting_ += fits[i];
      points.push_back({shown(columns_.a()[i] + bias_[i] + error_[i]), weight});
    }
  }

  [[noreturn]] void refuse() const {
    const std::string key =
        scenario::key_of(scenario::Uncertain::content, scenario_.fills.size() - 1)->full_name();
    throw estimate::ImpossibleScenario(estimate::Impossible::figure,
                                       fitting_ > 0.0 ? last_figure(scenario_) : key);
  }

 private:
  /// Its bias and two errors stand in dimensions behind those of the inputs.
  void draw_tester(std::size_t first) {
    const std::size_t from = sampler_.size();
    const auto uniforms = [&](std::size_t k) {
      sampling::scrambled_sobol(static_cast<std::uint32_t>(first), from + k,
                                stream_.of_dimension(from + k), u_);
    };
    const bool exact = distributions::is_exact(tester_.bias);
    if (exact) std::ranges::fill(bias_, distributions::mean(tester_.bias));
    if (!exact) {
      uniforms(0);
      distributions::quantile(tester_.bias, u_, bias_);
    }
    for (std::size_t k = 1; k <= 2; ++k) {
      std::vector<double>& to = k == 1 ? error_ : pump_error_;
      uniforms(k);
      for (std::size_t i = 0; i < k_test_batch; ++i) {
        to[i] = tester_.sd > 0.0 ? tester_.sd * numeric::normal_quantile(u_[i]) : 0.0;
      }
    }
    if (evidence_ != PumpEvidence::by_law || !(tester_.step > 0.0)) return;
    // What it was before it was rounded.
    uniforms(3);
    for (std::size_t i = 0; i < k_test_batch; ++i) pump_error_[i] += (u_[i] - 0.5) * tester_.step;
  }

  void set_content(std::vector<double>& fits) {
    double* content = batch_.column(Slot::content(inputs_.fills() - 1));
    const bool gives_way = distributions::is_exact(law_);
    for (std::size_t i = 0; i < k_test_batch; ++i) {
      const double x = pump_test_ - bias_[i] - pump_error_[i];
      content[i] = std::clamp(x, 0.0, 1.0);
      if (gives_way) continue;
      // Cases that a law holds at 0 or 1 are as likely there as all that lies beyond.
      fits[i] = distributions::cdf(law_, x + k_half_width) -
                distributions::cdf_below(law_, x - k_half_width);
    }
  }

  void weigh_content(std::vector<double>& fits) {
    const double* content = batch_.column(Slot::content(inputs_.fills() - 1));
    const double variance = tester_.sd * tester_.sd + models::rounding_variance(tester_.step);
    const double sd = std::max(std::sqrt(variance), k_least_error);
    for (std::size_t i = 0; i < k_test_batch; ++i) {
      const double off = (pump_test_ - content[i] - bias_[i]) / sd;
      fits[i] = std::exp(-0.5 * off * off);
    }
  }

  double shown(double content) const {
    return std::clamp(models::displayed(content, tester_.step), 0.0, 1.0);
  }

  const scenario::Tester& tester_;
  Distribution law_;
  PumpEvidence evidence_;
  double pump_test_;
  Scenario scenario_;
  sampling::CaseInputs inputs_;
  sampling::JointSampler sampler_;
  LinearBlend landing_;
  sampling::Stream stream_;
  sampling::CaseBatch batch_;
  estimate::BlendColumns columns_;
  std::vector<double> u_, bias_, pump_error_, error_;
  double fitting_ = 0.0;
};

}  // namespace

estimate::PointLaw forecast_of_test(const Scenario& scenario, std::optional<double> pump_test,
                                    std::uint64_t seed, std::uint64_t row) {
  TestCases cases(scenario, pump_test, seed, row);
  std::vector<estimate::Weighted> points;
  for (std::size_t wanted = k_first_points;; wanted *= 4) {
    for (std::size_t first = points.size(); first < wanted; first += k_test_batch) {
      cases.append(first, points);
    }
    const estimate::Mass mass = estimate::mass_of(points);
    const double worth = mass.sum > 0.0 ? mass.effective() : 0.0;
    if (worth >= (wanted < k_most_points ? k_worth_enough : k_worth_least)) {
      return estimate::PointLaw(std::move(points));
    }
    if (wanted >= k_most_points) cases.refuse();
  }
}

double plain_landing(const Scenario& scenario, std::optional<double> pump_test) {
  Scenario plain = scenario::at_means(scenario::as_planned(scenario));
  plain.correlations.clear();
  plain.heel.burned_l.reset();
  if (pump_test) plain.fills.back().content = distributions::exact(*pump_test);
  for (std::size_t fill = 0; fill < plain.fills.size(); ++fill) {
    const auto& shown = scenario.fills[fill].shown_l;
    if (!shown) continue;
    plain.fills[fill].amount_l = shown;
    // It was all put in, whatever there is said to be room for.
    constexpr double k_room_l = 1e6;
    plain.tank.click_off = distributions::exact(k_room_l);
  }
  const sampling::CaseInputs inputs(plain);
  sampling::CaseBatch batch(inputs, 1);
  estimate::BlendColumns columns(1);
  LinearBlend(inputs, {}).evaluate(batch, 1, columns);
  return columns.a()[0];
}

}  // namespace blendrisk::tank
