#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>

#include "answer/verify.hpp"
#include "render/svg.hpp"

namespace blendrisk::answer::verify_figures_test {
namespace {

/// Rows whose shares run from 0 to 1 and whose chances of a miss rise; the second has no forecast.
VerifyView view_of(std::size_t rows) {
  VerifyView view;
  view.title = "Invented shop";
  decide::Judgement all;
  for (std::size_t i = 0; i < rows; ++i) {
    const double at = (static_cast<double>(i) + 0.5) / static_cast<double>(rows);
    decide::Forecast row;
    row.test = 0.60 + 0.1 * at;
    row.quantiles = {0.60, 0.62, 0.63, 0.65, 0.67, 0.68, 0.70};
    row.share = at;
    row.miss_chance = 0.5 * at;
    row.missed = at > 0.8;
    if (i == 1)
      row.excluded = estimate::ImpossibleScenario(estimate::Impossible::figure, "heel.content");
    all.missed += row.missed && !row.excluded ? 1 : 0;
    all.expected.mean += row.miss_chance;
    view.result.rows.push_back(row);
    view.rows.push_back({i + 2, "", "", ""});
  }
  view.result.all = all;
  view.result.excluded = 1;
  view.band.low.assign(rows - 1, 0.1);
  view.band.high.assign(rows - 1, 0.6);
  return view;
}

TEST(VerifyFigures, BarsCountTheSharesOfRowsThatWereForecast) {
  for (const auto& [rows, bars] :
       {std::pair(11U, 5U), std::pair(101U, 10U), std::pair(301U, 20U)}) {
    const Figure figure = shares_figure(view_of(rows));
    ASSERT_EQ(figure.areas.size(), 1U);
    const std::vector<double>& y = figure.areas[0].y;
    ASSERT_EQ(y.size(), 4U * bars);
    // Each bar has its count twice.
    EXPECT_EQ(std::accumulate(y.begin(), y.end(), 0.0), 2.0 * (rows - 1));
    EXPECT_EQ(figure.lines.at(0).y.at(0), (rows - 1.0) / bars);
    EXPECT_LT(figure.lines[0].band_low[0], figure.lines[0].y[0]);
    EXPECT_GT(figure.lines[0].band_high[0], figure.lines[0].y[0]);
    EXPECT_NE(render::svg(figure).find(figure.x.title), std::string::npos);
  }
}

TEST(VerifyFigures, ChancesAreRecalibratedInRisingOrder) {
  const VerifyView view = view_of(21);
  const Figure figure = reliability_figure(view);
  ASSERT_EQ(figure.lines.size(), 2U);
  EXPECT_EQ(figure.lines[0].x, figure.lines[0].y);
  EXPECT_TRUE(std::ranges::is_sorted(figure.lines[1].x));
  EXPECT_TRUE(std::ranges::is_sorted(figure.lines[1].y));
  // Misses came above 40 % of chance alone: isotonic regression has them so.
  for (std::size_t k = 0; k < figure.lines[1].x.size(); ++k) {
    EXPECT_EQ(figure.lines[1].y[k], figure.lines[1].x[k] > 40.0 ? 100.0 : 0.0);
  }
  EXPECT_NE(render::svg(figure).find(figure.y.title), std::string::npos);
}

TEST(VerifyFigures, RowsAreTheLastThirtyWithTheirTests) {
  const Figure few = rows_figure(view_of(11));
  EXPECT_EQ(few.marks.size(), 10U);
  EXPECT_EQ(few.notes.size(), 1U);
  const Figure many = rows_figure(view_of(61));
  EXPECT_EQ(many.marks.size(), 30U);
  EXPECT_EQ(many.notes.size(), 2U);
  EXPECT_NEAR(many.marks.back().y, 100.0 * (0.60 + 0.1 * 60.5 / 61.0), 1e-9);
  EXPECT_EQ(many.lines.at(0).band_low.front(), 60.0);
  EXPECT_EQ(many.lines.at(1).band_high.front(), 67.0);
  EXPECT_NE(render::svg(many).find("Invented shop"), std::string::npos);
}

}  // namespace
}  // namespace blendrisk::answer::verify_figures_test
