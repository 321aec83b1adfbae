#include "scenario/correlation.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "numeric/cholesky.hpp"
#include "scenario/keys.hpp"
#include "text/error.hpp"
#include "text/quoting.hpp"
#include "text/trimmed.hpp"

namespace blendrisk::scenario {
namespace {

using text::trimmed;

bool has_factor(const std::vector<std::string>& names,
                const std::vector<Correlation>& correlations) {
  constexpr double k_least_pivot = 1e-9;
  const std::vector<double> scores = score_matrix(names, correlations);
  const auto n = static_cast<Eigen::Index>(names.size());
  const auto [root, definite] =
      numeric::cholesky(Eigen::Map<const Eigen::MatrixXd>(scores.data(), n, n));
  return definite && root.diagonal().array().square().minCoeff() > k_least_pivot;
}

}  // namespace

std::string correlation_key(std::string_view name) {
  const auto refuse = [](std::string_view what, const std::string& wrong) {
    throw text::Error(text::in_quotes(what) + wrong, k_correlation_accepted);
  };
  const std::size_t comma = name.find(',');
  if (comma == std::string_view::npos) refuse(name, " does not name two inputs");
  const std::string_view first = trimmed(name.substr(0, comma));
  std::vector<const Key*> pair;
  for (const std::string_view each : {first, trimmed(name.substr(comma + 1))}) {
    const Key* key = find_key(each);
    if (key == nullptr) refuse(each, " is an unknown key" + nearest_note(each, key_names()));
    if (key->kind != Kind::uncertain) refuse(each, " is never uncertain");
    pair.push_back(key);
  }
  if (pair[0] == pair[1]) refuse(first, " is named twice");
  std::sort(pair.begin(), pair.end());  // of one table
  return std::string(k_correlation_section) + "." + pair[0]->full_name() + ", " +
         pair[1]->full_name();
}

bool is_correlation(std::string_view key) {
  const std::string_view section = k_correlation_section;
  return key.starts_with(section) && key.substr(section.size()).starts_with('.');
}

std::pair<std::string, std::string> correlated_keys(std::string_view key) {
  key.remove_prefix(std::string_view(k_correlation_section).size() + 1);
  const std::size_t comma = key.find(", ");
  return {std::string(key.substr(0, comma)), std::string(key.substr(comma + 2))};
}

double score_correlation(double rank) {
  return 2.0 * std::sin(std::numbers::pi * rank / 6.0);
}

std::vector<double> score_matrix(const std::vector<std::string>& names,
                                 const std::vector<Correlation>& correlations) {
  const std::size_t n = names.size();
  std::vector<double> scores(n * n);
  for (std::size_t i = 0; i < n; ++i) scores[i * n + i] = 1.0;
  const auto place = [&names](const std::string& name) {
    return static_cast<std::size_t>(std::find(names.begin(), names.end(), name) - names.begin());
  };
  for (const Correlation& one : correlations) {
    const std::size_t i = place(one.first);
    const std::size_t j = place(one.second);
    if (i < n && j < n) scores[i * n + j] = scores[j * n + i] = score_correlation(one.rank);
  }
  return scores;
}

std::vector<std::string> conflicting(const std::vector<Correlation>& correlations) {
  std::vector<std::string> names;
  for (const Correlation& one : correlations) {
    for (const std::string& name : {one.first, one.second}) {
      if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
    }
  }
  if (names.empty() || has_factor(names, correlations)) return {};
  // Leave out what is not needed for the conflict.
  for (std::size_t i = names.size(); i-- > 0;) {
    std::vector<std::string> fewer = names;
    fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(i));
    if (!has_factor(fewer, correlations)) names = fewer;
  }
  return names;
}

}  // namespace blendrisk::scenario
