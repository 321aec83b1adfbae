#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "scenario/scenario.hpp"

/// The section [correlation]: lines such as `fuel.content, fill-2.content = 0.6`.
///
/// The value is Spearman's rank correlation of two uncertain inputs. They are joined by a Gaussian
/// copula: each is the quantile, at Φ(z), of its own law, z a standard normal score, and the scores
/// are jointly normal with correlation 2 sin(π ρ/6), which for continuous laws gives the rank
/// correlation ρ exactly (K. Pearson 1907; W. H. Kruskal, Journal of the American Statistical
/// Association 53, 1958; from memory). For laws with steps ρ is that of the scores.
namespace blendrisk::scenario {

inline constexpr const char* k_correlation_section = "correlation";
/// What a line of the section accepts, as the tail of an error message.
inline constexpr const char* k_correlation_accepted =
    "two uncertain inputs and their rank correlation, above -1 and below 1, such as "
    "fuel.content, fill-2.content = 0.6";

/// "correlation.A, B" of a line's name "A,B", the keys in the order of the key table.
/// @throws text::Error where they are not two different keys of uncertain inputs
std::string correlation_key(std::string_view name);

/// Whether a full name is such a line's.
bool is_correlation(std::string_view key);

/// The two keys of "correlation.A, B".
std::pair<std::string, std::string> correlated_keys(std::string_view key);

/// Correlation of the normal scores for a rank correlation.
double score_correlation(double rank);

/// Correlations of the normal scores of these keys, row by row, 1 on the diagonal and 0 where
/// nothing is said; pairs with a key that is not among them are left out.
std::vector<double> score_matrix(const std::vector<std::string>& names,
                                 const std::vector<Correlation>& correlations);

/// Keys whose correlations exclude each other: a set without which the scores' matrix would have a
/// Cholesky factor, no smaller part of which is at fault; empty where the matrix has one, its
/// smallest pivot above 1e-9.
std::vector<std::string> conflicting(const std::vector<Correlation>& correlations);

}  // namespace blendrisk::scenario
