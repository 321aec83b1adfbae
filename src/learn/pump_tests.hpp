#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "learn/student_law.hpp"

/// What repeated pump tests say about the next delivery. Contents are fractions.
namespace blendrisk::learn {

/// Tests of one pump, or of one group of them.
struct TestSet {
  std::string group;  ///< as the file has it; empty for all tests
  std::vector<double> contents;
  double mean = 0.0;
  double sd = 0.0;  ///< with n − 1; 0 for a single test
  double lowest = 0.0, highest = 0.0;

  /// At least two tests, not all equal: only then is there a spread to go by.
  bool has_law() const { return contents.size() > 1 && sd > 0.0; }
};

/// Fewer tests than this say little about the spread.
inline constexpr std::size_t k_few_tests = 5;

struct PumpTests {
  TestSet all;
  std::vector<TestSet> groups;  ///< in the order of the file; empty without grouping
  /// One-way analysis of variance: the chance that groups of one law differ as much as these.
  /// None with fewer than two groups, or none with two tests.
  std::optional<double> groups_alike;
};

/// Summary of tests with their mean, spread and extremes. @pre at least one content
TestSet summarised(std::string group, std::vector<double> contents);

/// The law of one further delivery: t with n − 1 degrees of freedom, center the mean, scale
/// s √(1 + 1/n). Prediction of one value from n normal ones (ISO 16269-8; from memory). Not cut to
/// [0, 1]. @pre set.has_law()
StudentLaw next_delivery(const TestSet& set);

/// The law of the mean, for tests of the very fuel to be pumped: scale s/√n (JCGM 101:2008, 6.4.9,
/// from memory). It says nothing about another delivery. @pre set.has_law()
StudentLaw of_the_mean(const TestSet& set);

/// The middle 95 % of a law, cut to [0, 1] and renormalised there.
std::array<double, 2> middle_95(const StudentLaw& law);

/// Tests from CSV text with a column content_percent.
/// @param file  shown in errors   @param group_column  empty: no groups
/// @throws text::Error for a malformed file, contents outside 0 % to 100 %, a single test,
///   and tests that are all equal
PumpTests read_pump_tests(const std::string& file, std::string_view text,
                          const std::string& group_column);

}  // namespace blendrisk::learn
