#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "learn/student_law.hpp"
#include "numeric/sampling_laws.hpp"

/// How often printed laws hold the truth that comes next.
namespace blendrisk::testing {

/// Half the width of the middle `share` of a law.
inline double half_width(const learn::StudentLaw& law, double share) {
  return law.scale * numeric::student_t_quantile(law.dof, 0.5 + 0.5 * share);
}

/// What is claimed of a kind of log.
enum class Claim {
  exact,        ///< 50, 90 and 95 % are that, and the probabilities below the truth are uniform
  conservative  ///< at least that
};

class Coverage {
 public:
  void add(const learn::StudentLaw& law, double truth) {
    add(numeric::student_t_cdf(law.dof, (truth - law.center) / law.scale));
  }
  /// @param below  the law's probability below the truth
  void add(double below) {
    below_.push_back(below);
    for (std::size_t i = 0; i < k_levels.size(); ++i) {
      held_[i] += std::abs(below - 0.5) < 0.5 * k_levels[i] ? 1 : 0;
    }
  }

  double share(std::size_t level) const { return held_[level] / static_cast<double>(count()); }
  std::size_t count() const { return below_.size(); }

  /// Cramér and von Mises's distance of the probabilities below the truth from uniform.
  double distance() const {
    std::vector<double> sorted = below_;
    std::sort(sorted.begin(), sorted.end());
    const auto n = static_cast<double>(sorted.size());
    double sum = 1.0 / (12.0 * n);
    for (std::size_t i = 0; i < sorted.size(); ++i) {
      const double step = sorted[i] - (2.0 * static_cast<double>(i) + 1.0) / (2.0 * n);
      sum += step * step;
    }
    return sum;
  }

  /// Three binomial standard errors: one false alarm in 370 a level. The distance exceeds 1.17 once
  /// in 1000 of uniform ones (Anderson and Darling 1952, from memory).
  void expect(Claim claim, const std::string& kind) const {
    const auto n = static_cast<double>(count());
    for (std::size_t i = 0; i < k_levels.size(); ++i) {
      const double error = 3.0 * std::sqrt(k_levels[i] * (1.0 - k_levels[i]) / n);
      EXPECT_GE(share(i), k_levels[i] - error) << kind << " at " << k_levels[i];
      if (claim == Claim::exact) {
        EXPECT_LE(share(i), k_levels[i] + error) << kind << " at " << k_levels[i];
      }
    }
    if (claim == Claim::exact) {
      EXPECT_LT(distance(), 1.17) << kind;
    }
    ::testing::Test::RecordProperty(
        kind,
        std::to_string(share(0)) + " " + std::to_string(share(1)) + " " + std::to_string(share(2)));
  }

 private:
  static constexpr std::array<double, 3> k_levels{0.5, 0.9, 0.95};
  std::array<int, 3> held_{};
  std::vector<double> below_;
};

}  // namespace blendrisk::testing
