#include "learn/student_law.hpp"

#include <algorithm>
#include <array>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <limits>
#include <vector>

#include "distributions/families.hpp"
#include "numeric/sampling_laws.hpp"
#include "numeric/solve.hpp"

namespace blendrisk::learn {

namespace {

double quantile(double dof, double share) {
  return numeric::student_t_quantile(dof, 0.5 + 0.5 * share);
}

/// Where f has its root in [low, high], to so many bits.
template <class F>
double root_of(const F& f, double low, double high, int bits) {
  const boost::math::tools::eps_tolerance<double> close(static_cast<unsigned>(bits));
  return numeric::root(f, {low, high, f(low), f(high)}, close, 60).middle();
}

/// Half the width about the center that holds the share of all parts, which have the same degrees
/// of freedom.
double width(std::span<const Part> parts, double center, double share) {
  double all = 0.0;
  double most = 0.0;
  double least = std::numeric_limits<double>::infinity();
  const double standard = quantile(parts.front().dof, share);
  for (const Part& part : parts) {
    all += part.weight;
    const double own = part.scale * standard;
    most = std::max(most, own + std::abs(part.center - center));
    least = std::min(least, own);
  }
  if (!(most > least * (1.0 + 1e-9))) return most;
  const auto short_of = [&](double x) {
    double held = 0.0;
    const double dof = parts.front().dof;
    for (const Part& part : parts) {
      held += part.weight * (numeric::student_t_cdf(dof, (center + x - part.center) / part.scale) -
                             numeric::student_t_cdf(dof, (center - x - part.center) / part.scale));
    }
    return held / all - share;
  };
  return root_of(short_of, 0.5 * least, most, 14);
}

/// As few parts as tell the same: those of about one scale are one.
std::vector<Part> merged(std::span<const Part> parts) {
  constexpr std::size_t k_bins = 32;
  if (parts.size() <= 2 * k_bins) return {parts.begin(), parts.end()};
  const auto [least, most] = std::ranges::minmax_element(parts, {}, &Part::scale);
  const double low = std::log(least->scale);
  const double span = std::log(most->scale) - low;
  struct Bin {
    double weight = 0.0, center = 0.0, center_square = 0.0, variance = 0.0;
  };
  std::array<Bin, k_bins> bins{};
  for (const Part& part : parts) {
    const double place = span > 0.0 ? (std::log(part.scale) - low) / span * k_bins : 0.0;
    Bin& bin = bins[std::min(static_cast<std::size_t>(place), k_bins - 1)];
    bin.weight += part.weight;
    const double off = part.center - parts.front().center;
    bin.center += part.weight * off;
    bin.center_square += part.weight * off * off;
    bin.variance += part.weight * part.scale * part.scale;
  }
  std::vector<Part> few;
  for (const Bin& bin : bins) {
    if (!(bin.weight > 0.0)) continue;
    const double off = bin.center / bin.weight;
    const double spread = std::max(bin.center_square / bin.weight - off * off, 0.0);
    few.push_back({bin.weight, parts.front().center + off,
                   std::sqrt(bin.variance / bin.weight + spread), parts.front().dof});
  }
  return few;
}

}  // namespace

StudentLaw matched(std::span<const Part> all_parts) {
  const std::vector<Part> parts = merged(all_parts);
  double all = 0.0;
  double center = 0.0;
  for (const Part& part : parts) {
    all += part.weight;
    center += part.weight * part.center;
  }
  center /= all;
  if (parts.size() == 1) {
    return {center, parts.front().scale, std::min(parts.front().dof, k_most_dof)};
  }
  const double half = width(parts, center, 0.5);
  const double ratio = width(parts, center, 0.95) / half;
  // In the logarithm: the ratio falls from that of 1 degree of freedom, 12.7, to the normal's.
  const auto above = [&](double x) {
    const double dof = std::exp(x);
    return quantile(dof, 0.95) / quantile(dof, 0.5) - ratio;
  };
  const double top = std::log(k_most_dof);
  double dof = above(0.0) <= 0.0 ? 1.0 : k_most_dof;
  if (dof > 1.0 && above(top) < 0.0) {
    dof = std::exp(root_of(above, 0.0, top, 20));
  }
  return {center, half / quantile(dof, 0.5), dof};
}

StudentLaw widened(const StudentLaw& law, double variance) {
  const double ratio = 1.0 + variance / (law.scale * law.scale);
  return {law.center, law.scale * std::sqrt(ratio), std::min(law.dof * ratio * ratio, k_most_dof)};
}

std::array<double, 2> middle_95(const StudentLaw& law) {
  const auto cut =
      distributions::truncated(distributions::student(law.center, law.scale, law.dof), 0.0, 1.0);
  return {distributions::quantile(cut, 0.025), distributions::quantile_complement(cut, 0.025)};
}

}  // namespace blendrisk::learn
