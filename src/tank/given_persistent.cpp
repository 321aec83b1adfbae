#include "tank/given_persistent.hpp"

#include <algorithm>

#include "models/infinity.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/sobol.hpp"

namespace blendrisk::tank {
namespace {

constexpr std::size_t k_near_points = 8;
constexpr double k_far_score = 6.0;

/// The persistent inputs, then all others that are drawn.
std::vector<std::size_t> persistent_first(const sampling::CaseInputs& inputs,
                                          const std::vector<std::size_t>& persistent,
                                          std::optional<std::size_t> content) {
  std::vector<std::size_t> slots = persistent;
  for (const std::size_t slot : inputs.uncertain(content.value_or(inputs.size()))) {
    if (std::ranges::count(persistent, slot) == 0) slots.push_back(slot);
  }
  return slots;
}

/// The normal score of a value that is correlated here and not where it was drawn.
double score_at(const distributions::Distribution& law, double x) {
  const double share = 0.5 * (distributions::cdf_below(law, x) + distributions::cdf(law, x));
  return std::clamp(numeric::normal_quantile(share), -k_far_score, k_far_score);
}

double mean_of_part(std::span<const double> all, std::size_t from, std::size_t count) {
  return numeric::sum(all.subspan(from, count)) / static_cast<double>(count);
}

}  // namespace

std::vector<std::size_t> persistent_slots(const sampling::CaseInputs& inputs) {
  std::vector<std::size_t> slots;
  for (std::size_t slot = 0; slot < inputs.size(); ++slot) {
    const scenario::Key* key = inputs[slot].key;
    if (!inputs.is_open(slot) || key == nullptr) continue;
    if (std::ranges::count(inputs.scenario().policy.persistent, key->row->input) > 0) {
      slots.push_back(slot);
    }
  }
  return slots;
}

GivenPersistent::GivenPersistent(const sampling::CaseInputs& inputs)
    : inputs_(inputs),
      limits_(estimate::limits_of(inputs.scenario().limits)),
      persistent_(persistent_slots(inputs)),
      content_(content_to_condition_on(inputs, persistent_)),
      sampler_(inputs, persistent_first(inputs, persistent_, content_)),
      landing_(inputs, content_, sampler_.slots()),
      batch_(inputs, k_most_points),
      columns_(k_most_points),
      scores_(sampler_.size() - persistent_.size(), k_most_points),
      f_(k_most_points),
      sum_(k_most_points) {
  if (content_) law_.emplace(inputs, *content_, sampler_.slots());
}

void GivenPersistent::scramble(const sampling::Stream& stream, std::size_t points) {
  const std::size_t first = persistent_.size();
  if (sampler_.size() == first) {
    points_ = 1;
    return;
  }
  points_ = points;
  const std::size_t half = points / 2;
  const sampling::Component own = sampling::own_component(1);
  for (std::size_t d = 0; first + d < sampler_.size(); ++d) {
    const std::span<double> z = scores_.row(d).first(points);
    for (const std::size_t part : {std::size_t{0}, std::size_t{1}}) {
      const sampling::Stream keys = sampling::Stream::of_any_seed(stream.of_part(part));
      sampling::scrambled_sobol(0, d, keys.of_dimension(d), z.subspan(part * half, half));
    }
    sampling::take_scores(own, 0, z);
    // Correlated ones follow the persistent inputs, case by case.
    if (!sampler_.correlated(first + d)) sampler_.place(first + d, z, batch_);
  }
}

void GivenPersistent::take(const sampling::CaseInputs& others, const sampling::CaseBatch& batch,
                           std::size_t i) {
  for (const std::size_t slot : persistent_) {
    std::fill_n(batch_.column(slot), points_, batch.column(slot)[i]);
    const auto column_of = [slot](const sampling::CaseInputs& of) {
      const auto& slots = of.correlations().slots;
      return static_cast<std::size_t>(std::ranges::find(slots, slot) - slots.begin());
    };
    const std::size_t here = column_of(inputs_);
    const std::size_t there = column_of(others);
    if (here == inputs_.correlations().slots.size()) continue;
    const bool drawn = there < others.correlations().slots.size();
    std::fill_n(batch_.score(here), points_,
                drawn ? batch.score(there)[i] : score_at(inputs_[slot].law, batch.column(slot)[i]));
  }
  const std::size_t first = persistent_.size();
  for (std::size_t d = 0; first + d < sampler_.size(); ++d) {
    if (sampler_.correlated(first + d)) {
      sampler_.place(first + d, scores_.row(d).first(points_), batch_);
    }
  }
}

std::array<double, 2> GivenPersistent::chances() {
  const std::size_t n = points_;
  landing_.evaluate(batch_, n, columns_);
  const std::span<double> f(f_.data(), n);
  const std::span<double> sum(sum_.data(), n);
  std::fill(sum.begin(), sum.end(), 0.0);
  for (const estimate::Limit& limit : limits_) {
    if (law_) {
      law_->outside(limit.side, limit.compared(), columns_.a(), columns_.b(),
                    law_->centres(batch_, {columns_.centre(), n}), f);
    } else {
      for (std::size_t i = 0; i < n; ++i) f[i] = limit.missed_by(columns_.a()[i]) ? 1.0 : 0.0;
    }
    for (std::size_t i = 0; i < n; ++i) sum[i] = std::min(sum[i] + f[i], 1.0);
  }
  if (n == 1) return {sum[0], sum[0]};
  return {mean_of_part(sum, 0, n / 2), mean_of_part(sum, n / 2, n / 2)};
}

double GivenPersistent::nearness() {
  const std::size_t n = std::min(points_, k_near_points);
  landing_.evaluate(batch_, n, columns_);
  double nearest = -k_infinity;
  for (const estimate::Limit& limit : limits_) {
    double sum = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      const double room = limit.beyond(columns_.a()[i]);
      sum += columns_.b()[i] > 0.0 ? room / columns_.b()[i] : room;
    }
    nearest = std::max(nearest, sum / static_cast<double>(n));
  }
  return nearest;
}

}  // namespace blendrisk::tank
