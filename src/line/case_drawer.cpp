#include "line/case_drawer.hpp"

#include <algorithm>
#include <vector>

#include "estimate/weights.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/sobol.hpp"
#include "tank/known.hpp"

namespace blendrisk::line {
namespace {

constexpr std::size_t k_batch = estimate::Workspace::k_capacity;
/// Points until they are worth as many as are wanted, and at most so many times more.
constexpr std::size_t k_most_times = 64;

}  // namespace

BlockPoints::BlockPoints(const estimate::Options& options, std::uint64_t round, std::size_t block)
    : crude_(options.method == estimate::Method::crude),
      stream_(options.seed, sampling::Purpose::arrival, round, block),
      numbers_(stream_.key()) {}

void BlockPoints::fill(std::size_t first, std::size_t dimension, std::span<double> u) {
  if (crude_) return numbers_.fill(u);
  sampling::scrambled_sobol(static_cast<std::uint32_t>(first), dimension,
                            stream_.of_dimension(dimension), u);
}

CaseDrawer::CaseDrawer(const sampling::CaseInputs& inputs)
    : landing_(inputs, {}), sampler_(sampling::sampler_of_all(inputs)), space_(inputs) {}

void CaseDrawer::each(BlockPoints& points, std::size_t count, const Use& use) {
  if (landing_.inputs().weighted()) return each_chosen(points, count, use);
  for (std::size_t first = 0; first < count; first += k_batch) {
    const std::size_t n = std::min(k_batch, count - first);
    draw(points, first, n);
    use(Drawn{space_.batch, space_.columns.a(), space_.columns.total(), space_.f.data(), first, n});
  }
}

/// n cases, those of number `first` on.
void CaseDrawer::draw(BlockPoints& points, std::size_t first, std::size_t n) {
  const std::span<double> u(space_.u.data(), (n + 7) / 8 * 8);  // what streams come in
  sampler_.draw_all(
      u.first(n), [&](std::size_t d, std::span<double>) { points.fill(first, d, u); },
      space_.batch);
  points.fill(first, sampler_.size(), u);
  numeric::normal_quantile(u.first(n), space_.f);
  landing_.evaluate(space_.batch, n, space_.columns);
}

void CaseDrawer::each_chosen(BlockPoints& points, std::size_t count, const Use& use) {
  BlockPoints again(points);
  std::vector<double> weights;
  std::vector<double> noise;
  estimate::Mass mass;
  const auto enough = [&] {
    return weights.size() >= k_most_times * count ||
           (weights.size() >= count && mass.effective() >= static_cast<double>(count));
  };
  for (std::size_t first = 0; !enough(); first += k_batch) {
    draw(points, first, k_batch);
    const double* weight = space_.columns.weight();
    for (std::size_t i = 0; i < k_batch; ++i) mass.add(weight[i]);
    weights.insert(weights.end(), weight, weight + k_batch);
    noise.insert(noise.end(), space_.f.begin(), space_.f.begin() + k_batch);
  }
  tank::require_any(landing_.inputs(), mass.sum);
  const std::vector<std::size_t> chosen = estimate::resampled(weights, count);
  estimate::Workspace taken(landing_.inputs());
  std::size_t next = 0;
  for (std::size_t k = 0; k < count;) {
    const std::size_t from = chosen[k] / k_batch * k_batch;
    for (; next <= from; next += k_batch) {
      if (next == from || again.in_sequence()) draw(again, next, k_batch);
    }
    std::size_t n = 0;
    while (k + n < count && n < k_batch && chosen[k + n] < from + k_batch) ++n;
    take({chosen.data() + k, n}, from, taken);
    use(Drawn{taken.batch, taken.columns.a(), taken.columns.total(), noise.data() + k, k, n});
    k += n;
  }
}

/// Rows of the batch drawn, which begins with the case of number `from`.
void CaseDrawer::take(std::span<const std::size_t> chosen, std::size_t from,
                      estimate::Workspace& taken) {
  const auto copy = [&](const double* column, double* to) {
    for (std::size_t i = 0; i < chosen.size(); ++i) to[i] = column[chosen[i] - from];
  };
  for (std::size_t slot = 0; slot < landing_.inputs().size(); ++slot) {
    copy(space_.batch.column(slot), taken.batch.column(slot));
  }
  copy(space_.columns.a(), taken.columns.a());
  copy(space_.columns.total(), taken.columns.total());
}

}  // namespace blendrisk::line
