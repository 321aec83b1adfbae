#pragma once

/// What is known of whoever tests a fuel. Contents are fractions.
namespace blendrisk::learn {

struct TesterError {
  double bias = 0.0;      ///< mean of test − true, shared by all tests
  double bias_sd = 0.0;   ///< of that
  double variance = 0.0;  ///< of one test: standard deviation and rounding
};

}  // namespace blendrisk::learn
