#include "estimate/score_parts.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "estimate/weights.hpp"
#include "numeric/target_clones.hpp"
#include "numeric/vector_math.hpp"
#include "sampling/sobol.hpp"

namespace blendrisk::estimate {
namespace {

constexpr double k_least_sd = 0.8;

// Σ w z and Σ w z², in lanes whose order is fixed.
BLENDRISK_CLONES void moments_loop(const double* w, const double* z, std::size_t n, double* first,
                                   double* second) {
  constexpr std::size_t k_lanes = 8;
  std::array<double, k_lanes> sum{};
  std::array<double, k_lanes> squares{};
  const std::size_t whole = n - n % k_lanes;
  for (std::size_t i = 0; i < whole; i += k_lanes) {
    for (std::size_t k = 0; k < k_lanes; ++k) {
      const double wz = w[i + k] * z[i + k];
      sum[k] += wz;
      squares[k] += wz * z[i + k];
    }
  }
  for (std::size_t i = whole; i < n; ++i) {
    sum[i - whole] += w[i] * z[i];
    squares[i - whole] += w[i] * z[i] * z[i];
  }
  for (std::size_t k = 0; k < k_lanes; ++k) {
    *first += sum[k];
    *second += squares[k];
  }
}

}  // namespace

void Cloud::draw(const sampling::Component& part, const sampling::Stream& stream,
                 std::uint64_t number) {
  for (std::size_t d = 0; d < part.mean.size(); ++d) {
    const std::span<double> z = scores.row(d);
    sampling::scrambled_sobol(0, d, stream.of_dimension_in(number, d), z);
    sampling::take_scores(part, d, z);
  }
}

void Cloud::evaluate(const Problem& problem, Workspace& workspace) {
  const std::size_t n = f.size();
  for (std::size_t from = 0; from < n; from += Workspace::k_capacity) {
    const std::size_t count = std::min(Workspace::k_capacity, n - from);
    for (std::size_t d = 0; d < problem.size(); ++d) {
      problem.sampler.place(d, scores.row(d).subspan(from, count), workspace.batch);
    }
    problem.integrand->evaluate(workspace.batch, workspace.columns, {f.data() + from, count},
                                {limit_state.data() + from, count});
  }
}

void log_ratio_of(std::span<const Shared> parts, const sampling::Scores& scores,
                  std::span<double> log_ratio) {
  std::vector<double> ratio(log_ratio.size(), 0.0);
  for (const Shared& part : parts) {
    sampling::add_ratio(part.component, part.share, scores, log_ratio, ratio);
  }
  numeric::log(ratio, log_ratio);
}

Matched match(std::span<const double> weight, const sampling::Scores& scores, bool last,
              sampling::Component& to) {
  Matched matched;
  const double sum = numeric::sum(weight);
  const double effective = last ? mass_of(weight).effective() : 0.0;
  for (std::size_t d = 0; d < to.mean.size(); ++d) {
    double first = 0.0;
    double second = 0.0;
    moments_loop(weight.data(), scores.row(d).data(), weight.size(), &first, &second);
    const double mean = first / sum;
    const double sd = std::sqrt(std::max(0.0, second / sum - mean * mean));
    const bool by_chance = last && std::abs(mean) < std::max(sd, 0.5) / std::sqrt(effective);
    matched.moved = std::max(matched.moved, std::abs(mean - to.mean[d]));
    matched.widest = std::max(matched.widest, sd);
    to.mean[d] = by_chance ? 0.0 : mean;
    to.sd[d] = by_chance ? 1.0 : std::clamp(sd, k_least_sd, 1.0);
  }
  return matched;
}

}  // namespace blendrisk::estimate
