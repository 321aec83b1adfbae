#pragma once

#include <vector>

/// Whether the residuals of a fit are independent.
namespace blendrisk::learn {

/// How many neighbouring residuals tell as much as one independent one: 1 + 2 Σ r_k over the
/// autocorrelations from lag 1 to the last before one falls to 2/√n (the initial positive sequence;
/// C. J. Geyer, Practical Markov chain Monte Carlo, 1992, from memory). 1 where r_1 is within
/// 3.3/√n, which white noise exceeds once in 2000 logs. A display that steps and a model that is
/// not right both give more.
/// @param residuals  of mean near 0, in the order of time
double correlation_length(const std::vector<double>& residuals);

}  // namespace blendrisk::learn
