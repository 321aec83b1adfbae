#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "answer/answers.hpp"
#include "answer/figure.hpp"
#include "decide/verify.hpp"

/// What `verify` answers.
namespace blendrisk::answer {

/// A row of the log that was forecast.
struct VerifiedRow {
  std::size_t line = 0;
  std::string date, car, group;  ///< as far as the log has them
};

struct GroupJudgement {
  std::string name;
  std::size_t rows = 0;
  std::optional<decide::Judgement> verdict;  ///< none where none was forecast
};

struct VerifyView {
  std::string file;
  std::string title;                ///< of the only car; the file's name where there are several
  std::string group_column;         ///< empty: no groups
  std::size_t chosen = 0;           ///< rows of the log that were asked for
  bool exact_tests = false;         ///< the scenarios give the tester no error
  bool shared_bias = false;         ///< or one that all rows share and nobody knows
  bool learned = false;             ///< each row by laws learnt from those before it
  std::vector<std::string> unused;  ///< columns of the log that were not used
  std::vector<VerifiedRow> rows;
  decide::Verified result;  ///< of these rows
  std::vector<GroupJudgement> groups;
  estimate::ReliabilityBand band;  ///< of the rows that were forecast, for the picture
};

/// Every row that was forecast, by its place in view.rows.
std::vector<std::size_t> forecast_rows(const VerifyView& view);

Description described(const Asked& asked, const VerifyView& view);
Json members(const Asked& asked, const VerifyView& view);

/// "honest", "too sure", "not sure enough", "off", "cannot tell"; two where both are told.
std::string verdict_name(const estimate::Calibration& calibration);

/// How often the tests lay where in their forecasts, with where honest forecasts' bars end.
Figure shares_figure(const VerifyView& view);
/// Chances of a miss against how often one came, with where honest chances' curves lie.
Figure reliability_figure(const VerifyView& view);
/// Each test in the middle 50 % and 95 % of its forecast: of the last 30 rows at most.
Figure rows_figure(const VerifyView& view);

/// Fewer rows than this are shown as rows, where no picture is asked for by its name.
inline constexpr std::size_t k_few_verified = 30;

}  // namespace blendrisk::answer
