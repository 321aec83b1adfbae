#include "tank/landed_sample.hpp"

#include <span>
#include <utility>

#include "numeric/vector_math.hpp"
#include "sampling/joint_sampler.hpp"

namespace blendrisk::tank {
namespace {

using sampling::Slot;

static_assert(LandedSample::k_batch == estimate::Workspace::k_capacity);

void append(std::vector<double>& to, const double* from) {
  to.insert(to.end(), from, from + LandedSample::k_batch);
}

/// Values with their weights, added in the order of the points; none where the weights are all 0.
class Gathered {
 public:
  void add(const LandedSample& sample, std::size_t from, std::size_t count) {
    for (std::size_t i = from; i < from + count; ++i) {
      values_.push_back({sample.content[i], sample.all[i]});
      sum_ += sample.all[i];
    }
  }
  std::vector<estimate::Weighted> take() {
    if (!(sum_ > 0.0)) values_.clear();
    return std::move(values_);
  }

 private:
  std::vector<estimate::Weighted> values_;
  double sum_ = 0.0;
};

}  // namespace

LandedSample::LandedSample(const sampling::CaseInputs& inputs,
                           std::optional<std::size_t> conditioned, std::uint64_t seed)
    : inputs_(inputs),
      conditioned_(conditioned),
      seed_(seed),
      sampler_(sampling::sampler_of_all(inputs, conditioned)),
      drawn_(inputs, {}, sampler_.slots()),
      line_(inputs, conditioned),
      space_(inputs) {
  if (conditioned) law_.emplace(inputs, *conditioned);
}

void LandedSample::grow(std::size_t batches) {
  for (std::size_t batch = this->batches(); batch < batches; ++batch) {
    for (std::size_t r = 0; r < k_scramblings; ++r) draw(batch, r);
  }
  if (inputs_.weighted()) return;
  all.resize(content.size(), 1.0);
  line.resize(a.size(), 1.0);
}

void LandedSample::draw(std::size_t batch, std::size_t scrambling) {
  sampler_.draw_points({seed_, sampling::Purpose::landed, scrambling}, batch * k_batch, space_.u,
                       space_.batch);
  estimate::BlendColumns& columns = space_.columns;
  if (inputs_.weighted() || !conditioned_) {
    drawn_.evaluate(space_.batch, k_batch, columns);
    append(content, columns.a());
    if (inputs_.weighted()) append(all, columns.weight());
    if (!conditioned_) return;
  }
  line_.evaluate(space_.batch, k_batch, columns);
  append(a, columns.a());
  append(b, columns.b());
  if (inputs_.weighted()) {
    append(line, columns.weight());
  } else {
    // A point on its line.
    const double* x = space_.batch.column(*conditioned_);
    if (conditioned_ == Slot::old_fuel && inputs_.by_reading()) {
      models::contents_from_reading(*inputs_.scenario().heel.reading, x, space_.f.data(), k_batch);
      x = space_.f.data();
    }
    for (std::size_t i = 0; i < k_batch; ++i) {
      content.push_back(columns.a()[i] + columns.b()[i] * x[i]);
    }
  }
  if (!law_->depends()) return;
  centre.resize(a.size());
  law_->centres(space_.batch, std::span(centre).last(k_batch));
}

double LandedSample::sum_of(const std::vector<double>& column, std::size_t scrambling) const {
  double sum = 0.0;
  for (std::size_t batch = 0; batch < batches(); ++batch) {
    const std::size_t from = (batch * k_scramblings + scrambling) * k_batch;
    sum += numeric::sum(std::span(column).subspan(from, k_batch));
  }
  return sum;
}

std::vector<estimate::Weighted> LandedSample::weighted() const {
  Gathered gathered;
  gathered.add(*this, 0, size());
  return gathered.take();
}

std::vector<estimate::Weighted> LandedSample::weighted(std::size_t scrambling) const {
  Gathered gathered;
  for (std::size_t batch = 0; batch < batches(); ++batch) {
    gathered.add(*this, (batch * k_scramblings + scrambling) * k_batch, k_batch);
  }
  return gathered.take();
}

}  // namespace blendrisk::tank
