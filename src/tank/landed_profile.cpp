#include "tank/landed_profile.hpp"

#include <algorithm>
#include <cmath>
#include <memory>

#include "numeric/vector_math.hpp"

namespace blendrisk::tank {
namespace {

using sampling::CaseInputs;
using sampling::Slot;

/// How a distribution function is made: batches of points, and the kernel's width as a share of the
/// rule of thumb for so many points. Given all but the gauge's error it is smooth as it is, given
/// all but a content nearly so.
struct Making {
  std::size_t batches;
  double share;
};
constexpr Making making_of(const Condition& condition) {
  if (condition.gauge) return {8, 0.0};
  return condition.content ? Making{16, 0.7} : Making{64, 1.3};
}

constexpr double k_kernel_reach = 4.0;  ///< standard deviations

bool has_steps(const distributions::Distribution& law) {
  const double middle = distributions::quantile(law, 0.5);
  return distributions::cdf(law, middle) > distributions::cdf_below(law, middle);
}

/// What to condition on for a smooth distribution function; nothing where it has steps anyway.
Condition smooth_condition(const CaseInputs& inputs) {
  const Condition usual = condition_of(inputs);
  if (usual.slot() && !has_steps(inputs[*usual.slot()].law)) return usual;
  const auto& gauge = inputs[Slot::gauge_error];
  if (inputs.fills() == 1 && !inputs.weighted() && gauge.uncertain && !has_steps(gauge.law)) {
    return {{}, true};
  }
  return {};
}

/// P(landing below y) over points that are drawn once.
class Below {
 public:
  Below(const CaseInputs& inputs, const Condition& condition, std::uint64_t seed)
      : inputs_(inputs), condition_(condition) {
    const sampling::JointSampler sampler(
        inputs, inputs.uncertain(condition.slot().value_or(inputs.size())));
    for (std::size_t r = 0; r < making_of(condition).batches; ++r) {
      spaces_.push_back(std::make_unique<estimate::Workspace>(inputs));
      estimate::Workspace& space = *spaces_.back();
      sampler.draw_points({seed, sampling::Purpose::landed, r}, 0, space.u, space.batch);
      if (!inputs.weighted()) continue;
      LinearBlend(inputs, condition.content)
          .evaluate(space.batch, estimate::Workspace::k_capacity, space.columns);
      all_ += numeric::sum({space.columns.weight(), estimate::Workspace::k_capacity});
    }
    if (!inputs.weighted()) {
      all_ = static_cast<double>(spaces_.size() * estimate::Workspace::k_capacity);
    }
  }

  double operator()(double content) const {
    const auto integrand = outside_limit(inputs_, condition_, {estimate::Side::below, content});
    double sum = 0.0;
    for (const auto& space : spaces_) {
      integrand->evaluate(space->batch, space->columns, space->f, {});
      sum += numeric::sum(space->f);
    }
    return sum / all_;
  }

 private:
  const CaseInputs& inputs_;
  Condition condition_;
  std::vector<std::unique_ptr<estimate::Workspace>> spaces_;
  double all_ = 0.0;  ///< weight of all points
};

/// Chances of the cells, `more` of them on either side of [low, high].
std::vector<double> masses(const Below& below, double low, double width, std::size_t cells,
                           std::size_t more) {
  std::vector<double> mass;
  const auto edge = [&](std::size_t i) {
    return low + width * (static_cast<double>(i) - static_cast<double>(more));
  };
  double before = below(edge(0));
  for (std::size_t i = 0; i < cells + 2 * more; ++i) {
    const double after = below(edge(i + 1));
    mass.push_back(std::max(0.0, after - before));
    before = after;
  }
  return mass;
}

/// 0.9 min(standard deviation, interquartile range / 1.34) n^(−1/5), in cells.
double rule_of_thumb(const std::vector<double>& mass, std::size_t points) {
  const double all = numeric::sum(mass);
  if (!(all > 0.0)) return 1.0;
  double mean = 0.0;
  double squares = 0.0;
  double before = 0.0;
  double lower = -1.0;
  double upper = -1.0;
  for (std::size_t i = 0; i < mass.size(); ++i) {
    const auto at = static_cast<double>(i);
    mean += mass[i] * at / all;
    squares += mass[i] * at * at / all;
    before += mass[i] / all;
    if (lower < 0.0 && before >= 0.25) lower = at;
    if (upper < 0.0 && before >= 0.75) upper = at;
  }
  const double sd = std::sqrt(std::max(0.0, squares - mean * mean));
  const double quartiles = (upper - lower) / 1.34;
  return 0.9 * (quartiles > 0.0 ? std::min(sd, quartiles) : sd) *
         std::pow(static_cast<double>(points), -0.2);
}

}  // namespace

LandedProfile landed_profile(const CaseInputs& inputs, std::uint64_t seed, double low, double high,
                             std::size_t cells) {
  constexpr double k_least = 1.5;  // cells
  const Condition condition = smooth_condition(inputs);
  const Below below(inputs, condition, seed);
  LandedProfile profile;
  profile.width = (high - low) / static_cast<double>(cells);
  double kernel = k_least;
  const Making making = making_of(condition);
  if (making.share > 0.0) {
    const std::vector<double> mass = masses(below, low, profile.width, cells, 0);
    kernel =
        std::max(kernel, making.share *
                             rule_of_thumb(mass, making.batches * estimate::Workspace::k_capacity));
  }
  const auto reach = static_cast<std::size_t>(std::ceil(k_kernel_reach * kernel));
  const std::vector<double> mass = masses(below, low, profile.width, cells, reach);
  std::vector<double> weight;
  for (std::size_t k = 0; k <= 2 * reach; ++k) {
    const double off = (static_cast<double>(k) - static_cast<double>(reach)) / kernel;
    weight.push_back(std::exp(-0.5 * off * off));
  }
  const double all = numeric::sum(weight) * profile.width;
  for (std::size_t cell = 0; cell < cells; ++cell) {
    double sum = 0.0;
    for (std::size_t k = 0; k < weight.size(); ++k) sum += weight[k] * mass[cell + k];
    profile.content.push_back(low + (static_cast<double>(cell) + 0.5) * profile.width);
    profile.density.push_back(sum / all);
  }
  return profile;
}

}  // namespace blendrisk::tank
