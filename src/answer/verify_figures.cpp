#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <cmath>

#include "answer/plain_text.hpp"
#include "answer/verify.hpp"
#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

using decide::Forecast;

const Forecast& row_of(const VerifyView& view, std::size_t i) {
  return view.result.rows[i];
}

FigureAxis percent_axis(const std::string& title, double low, double high) {
  FigureAxis axis{title, low, high, false, {}};
  axis.ticks = linear_ticks(low, high, 6);
  return axis;
}

/// Counts that all of `bars` bars of honest forecasts keep to in 95 % at least (Bonferroni).
std::array<double, 2> honest_counts(std::size_t rows, std::size_t bars) {
  namespace bm = boost::math;
  const double tail = 0.025 / static_cast<double>(bars);
  const bm::binomial law(static_cast<double>(rows), 1.0 / static_cast<double>(bars));
  // Outward to whole counts.
  return {bm::quantile(law, tail), bm::quantile(bm::complement(law, tail))};
}

}  // namespace

Figure shares_figure(const VerifyView& view) {
  const std::vector<std::size_t> rows = forecast_rows(view);
  const std::size_t bars = rows.size() < 50 ? 5 : rows.size() < 200 ? 10 : 20;
  std::vector<double> counts(bars, 0.0);
  for (const std::size_t i : rows) {
    const auto bar = static_cast<std::size_t>(row_of(view, i).share * static_cast<double>(bars));
    counts[std::min(bar, bars - 1)] += 1.0;
  }
  const auto [low, high] = honest_counts(rows.size(), bars);
  const double expected = static_cast<double>(rows.size()) / static_cast<double>(bars);
  Figure figure;
  figure.title = view.title;
  FigureArea histogram{{}, {}, "verify.figure.bars"_w};
  for (std::size_t bar = 0; bar < bars; ++bar) {
    const double from = static_cast<double>(bar) / static_cast<double>(bars);
    const double to = static_cast<double>(bar + 1) / static_cast<double>(bars);
    // A gap between bars.
    const double gap = 0.04 * (to - from);
    for (const double x : {from + gap, from + gap, to - gap, to - gap}) histogram.x.push_back(x);
    for (const double y : {0.0, counts[bar], counts[bar], 0.0}) histogram.y.push_back(y);
  }
  figure.areas.push_back(std::move(histogram));
  figure.lines.push_back(
      {{0.0, 1.0}, {expected, expected}, {low, low}, {high, high}, "verify.figure.honest"_w});
  figure.x = percent_axis("verify.figure.shares.x"_w, 0.0, 1.0);
  const double most = std::max(*std::ranges::max_element(counts), high);
  figure.y = percent_axis("verify.figure.shares.y"_w, 0.0, 1.1 * most);
  figure.notes.push_back("verify.figure.shares.note"_w);
  const auto [least, largest] = std::ranges::minmax_element(counts);
  figure.alt = shown(say("verify.figure.shares.alt", count(rows.size()), count(bars),
                         number(*least), number(*largest), number(expected, 3)));
  return figure;
}

Figure reliability_figure(const VerifyView& view) {
  std::vector<std::size_t> rows = forecast_rows(view);
  std::vector<double> chances, came;
  for (const std::size_t i : rows) {
    chances.push_back(row_of(view, i).miss_chance);
    came.push_back(row_of(view, i).missed ? 1.0 : 0.0);
  }
  const std::vector<double> fit = estimate::recalibrated(chances, came);
  std::vector<std::size_t> order(rows.size());
  for (std::size_t k = 0; k < order.size(); ++k) order[k] = k;
  std::ranges::stable_sort(order, {}, [&](std::size_t k) { return chances[k]; });
  FigureLine diagonal{{}, {}, {}, {}, "verify.figure.honest"_w};
  FigureLine steps{{}, {}, {}, {}, "verify.figure.recalibrated"_w};
  double most = 1.0;
  for (const std::size_t k : order) {
    diagonal.x.push_back(100.0 * chances[k]);
    diagonal.y.push_back(100.0 * chances[k]);
    diagonal.band_low.push_back(100.0 * view.band.low[k]);
    diagonal.band_high.push_back(100.0 * view.band.high[k]);
    steps.x.push_back(100.0 * chances[k]);
    steps.y.push_back(100.0 * fit[k]);
    most = std::max({most, diagonal.band_high.back(), steps.y.back(), diagonal.x.back()});
  }
  const double high = std::min(100.0, 1.05 * most);
  Figure figure;
  figure.title = view.title;
  figure.lines = {std::move(diagonal), std::move(steps)};
  figure.x = percent_axis("verify.figure.chance"_w, 0.0,
                          std::min(100.0, 1.05 * figure.lines[0].x.back() + 0.01));
  figure.y = percent_axis("verify.figure.came"_w, 0.0, high);
  figure.notes.push_back("verify.figure.reliability.note"_w);
  figure.alt = shown(say("verify.figure.reliability.alt", count(rows.size()),
                         count(view.result.all->missed), fixed(view.result.all->expected.mean, 1)));
  return figure;
}

Figure rows_figure(const VerifyView& view) {
  constexpr std::size_t k_most = 30;
  std::vector<std::size_t> rows = forecast_rows(view);
  const std::size_t all = rows.size();
  if (all > k_most) rows.erase(rows.begin(), rows.end() - k_most);
  Figure figure;
  figure.title = view.title;
  FigureLine outer{{}, {}, {}, {}, "verify.figure.middle_95"_w};
  FigureLine inner{{}, {}, {}, {}, "verify.figure.middle_50"_w};
  double low = 100.0;
  double high = 0.0;
  std::size_t in_outer = 0;
  std::size_t in_inner = 0;
  for (std::size_t k = 0; k < rows.size(); ++k) {
    const Forecast& row = row_of(view, rows[k]);
    const auto at = static_cast<double>(k + 1);
    const auto q = [&](std::size_t i) { return 100.0 * row.quantiles[i]; };
    for (const double x : {at - 0.5, at + 0.5}) {
      for (FigureLine* line : {&outer, &inner}) {
        line->x.push_back(x);
        line->y.push_back(q(3));
        line->band_low.push_back(q(line == &outer ? 0 : 2));
        line->band_high.push_back(q(line == &outer ? 6 : 4));
      }
    }
    const double test = 100.0 * row.test;
    figure.marks.push_back({at, test, ""});
    low = std::min({low, test, q(0)});
    high = std::max({high, test, q(6)});
    in_outer += test >= q(0) && test <= q(6) ? 1 : 0;
    in_inner += test >= q(2) && test <= q(4) ? 1 : 0;
  }
  figure.lines = {std::move(outer), std::move(inner)};
  const double room = 0.06 * (high - low) + 0.5;
  figure.x = {"verify.figure.rows.x"_w, 0.5, static_cast<double>(rows.size()) + 0.5, false, {}};
  for (const Tick& tick : linear_ticks(1.0, figure.x.high, 8)) {
    if (tick.at == std::floor(tick.at)) figure.x.ticks.push_back(tick);
  }
  figure.y = percent_axis("verify.figure.rows.y"_w, low - room, high + room);
  figure.notes.push_back("verify.figure.rows.note"_w);
  if (all > k_most) {
    figure.notes.push_back(shown(say("verify.figure.rows.last", count(k_most), count(all))));
  }
  figure.alt =
      shown(say("verify.figure.rows.alt", count(rows.size()), count(in_inner), count(in_outer)));
  return figure;
}

}  // namespace blendrisk::answer
