#pragma once

#include <array>
#include <limits>
#include <span>

/// The law of what comes next, learnt from little: a t.
namespace blendrisk::learn {

/// A scaled, shifted t law: center + scale · t(dof).
struct StudentLaw {
  double center = 0.0;
  double scale = 0.0;
  double dof = 0.0;
};

/// Degrees of freedom of a normal law.
inline constexpr double k_normal_dof = std::numeric_limits<double>::infinity();
/// A t of more is as good as normal, and no law that is learnt has more.
inline constexpr double k_most_dof = 1000.0;

/// What is known of a quantity in one of several states of the world: a t.
struct Part {
  double weight = 0.0;  ///< chance of the state, up to a common factor
  double center = 0.0;
  double scale = 0.0;
  double dof = 0.0;
};

/// The t about the parts' mean whose middle 50 and 95 % are as wide as those of the parts together,
/// with 1 to k_most_dof degrees of freedom: that of one part is the part. (F. E. Satterthwaite,
/// Biometrics Bulletin 2 (1946), 110, from memory, matches the moments of the variance instead,
/// which leaves its intervals too narrow where there are few values.)
/// @pre some weight is above 0, and all parts have the same degrees of freedom
StudentLaw matched(std::span<const Part> parts);

/// The law with an independent variance added: degrees of freedom by B. L. Welch and
/// F. E. Satterthwaite (JCGM 100:2008, G.4.1, from memory).
StudentLaw widened(const StudentLaw& law, double variance);

/// The middle 95 % of a law, cut to [0, 1] and renormalised there.
std::array<double, 2> middle_95(const StudentLaw& law);

}  // namespace blendrisk::learn
