#include "learn/pump_tests.hpp"

#include <algorithm>
#include <boost/math/distributions/complement.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <cmath>
#include <map>
#include <numeric>

#include "distributions/families.hpp"
#include "scenario/column.hpp"
#include "text/error.hpp"

namespace blendrisk::learn {
namespace {

constexpr const char* k_column = "content_percent";

void check(const std::string& file, const scenario::Columns& read) {
  const std::vector<double>& contents = read.values.front();
  const auto refuse = [&](std::size_t row, const std::string& wrong, const char* accepted) {
    throw text::Error(wrong, accepted, {file, read.lines[row], k_column});
  };
  const std::size_t all = contents.size();
  for (std::size_t i = 0; i < all; ++i) {
    if (!(contents[i] >= 0.0 && contents[i] <= 1.0)) refuse(i, "is out of range", "0 % to 100 %");
  }
  if (all == 1) {
    refuse(0, "is a single test, whose spread is unknown", "at least two tests are accepted");
  }
  const auto [low, high] = std::minmax_element(contents.begin(), contents.end());
  if (*low == *high) {
    refuse(all - 1, "all " + std::to_string(all) + " tests are equal, so their spread is unknown",
           "tests that differ are accepted");
  }
}

std::vector<TestSet> grouped(const scenario::Columns& read) {
  std::map<std::string, std::size_t> places;
  std::vector<std::pair<std::string, std::vector<double>>> groups;
  const std::vector<std::string>& names = read.texts.front();
  for (std::size_t i = 0; i < names.size(); ++i) {
    const auto [place, is_new] = places.try_emplace(names[i], groups.size());
    if (is_new) groups.emplace_back(names[i], std::vector<double>());
    groups[place->second].second.push_back(read.values.front()[i]);
  }
  std::vector<TestSet> sets;
  sets.reserve(groups.size());
  for (auto& [name, contents] : groups) sets.push_back(summarised(name, std::move(contents)));
  return sets;
}

std::optional<double> chance_alike(const PumpTests& tests) {
  double between = 0.0;
  double within = 0.0;
  for (const TestSet& set : tests.groups) {
    const auto n = static_cast<double>(set.contents.size());
    between += n * (set.mean - tests.all.mean) * (set.mean - tests.all.mean);
    within += (n - 1.0) * set.sd * set.sd;
  }
  const double dof_between = static_cast<double>(tests.groups.size()) - 1.0;
  const double dof_within =
      static_cast<double>(tests.all.contents.size()) - static_cast<double>(tests.groups.size());
  if (dof_between < 1.0 || dof_within < 1.0 || !(within > 0.0)) return std::nullopt;
  const double f = (between / dof_between) / (within / dof_within);
  return boost::math::cdf(
      boost::math::complement(boost::math::fisher_f(dof_between, dof_within), f));
}

}  // namespace

TestSet summarised(std::string group, std::vector<double> contents) {
  TestSet set{std::move(group), std::move(contents)};
  const auto n = static_cast<double>(set.contents.size());
  set.mean = std::accumulate(set.contents.begin(), set.contents.end(), 0.0) / n;
  const auto [low, high] = std::minmax_element(set.contents.begin(), set.contents.end());
  set.lowest = *low;
  set.highest = *high;
  if (set.highest > set.lowest) {
    double squares = 0.0;
    for (const double content : set.contents)
      squares += (content - set.mean) * (content - set.mean);
    set.sd = std::sqrt(squares / (n - 1.0));
  }
  return set;
}

StudentLaw next_delivery(const TestSet& set) {
  const auto n = static_cast<double>(set.contents.size());
  return {set.mean, set.sd * std::sqrt(1.0 + 1.0 / n), n - 1.0};
}

StudentLaw of_the_mean(const TestSet& set) {
  const auto n = static_cast<double>(set.contents.size());
  return {set.mean, set.sd / std::sqrt(n), n - 1.0};
}

std::array<double, 2> middle_95(const StudentLaw& law) {
  const auto cut =
      distributions::truncated(distributions::student(law.center, law.scale, law.dof), 0.0, 1.0);
  return {distributions::quantile(cut, 0.025), distributions::quantile_complement(cut, 0.025)};
}

PumpTests read_pump_tests(const std::string& file, std::string_view text,
                          const std::string& group_column) {
  std::vector<std::string> texts;
  if (!group_column.empty()) texts.push_back(group_column);
  const scenario::Columns read =
      scenario::read_columns(file, text, {{k_column, units::Dimension::content}}, texts);
  check(file, read);
  PumpTests tests{summarised("", read.values.front()), {}, {}};
  if (!group_column.empty()) {
    tests.groups = grouped(read);
    tests.groups_alike = chance_alike(tests);
  }
  return tests;
}

}  // namespace blendrisk::learn
