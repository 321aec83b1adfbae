#include "line/line_bands.hpp"

#include "line/case_drawer.hpp"
#include "line/line_batch.hpp"
#include "tank/landed_distribution.hpp"

namespace blendrisk::line {
namespace {

/// The contents that a picture shows: a list for every burned volume. prepare(lines) comes before
/// the volumes of a batch, and shown(drawn, lines, passed, content) tells the contents at one.
template <class Prepare, class Shown>
std::vector<std::vector<double>> pictured(const Line& line, const std::vector<double>& burn_l,
                                          const estimate::Options& options, const Prepare& prepare,
                                          const Shown& shown) {
  constexpr std::size_t k_cases = 2048;
  estimate::Options single = options;
  single.method = estimate::Method::conditional;
  std::vector<std::vector<double>> contents(burn_l.size());
  CaseDrawer drawer(line.inputs());
  LineBatch lines(line);
  BlockPoints points(single, 3, 0);
  drawer.each(points, k_cases, [&](const Drawn& drawn) {
    lines.load(drawn.batch, drawn.landed, drawn.total_l, drawn.count);
    prepare(lines);
    std::vector<double> passed(drawn.count);
    std::vector<double> share(drawn.count);
    for (std::size_t k = 0; k < burn_l.size(); ++k) {
      lines.passed({Moment::By::burned, burn_l[k]}, passed);
      shown(drawn, lines, passed, share);
      contents[k].insert(contents[k].end(), share.begin(), share.end());
    }
  });
  return contents;
}

std::vector<std::array<double, 3>> bands_of(std::vector<std::vector<double>> contents) {
  std::vector<std::array<double, 3>> band;
  for (std::vector<double>& at : contents) {
    const auto quantiles = tank::quantiles_of(at);
    band.push_back({quantiles[1], quantiles[2], quantiles[3]});
  }
  return band;
}

}  // namespace

std::vector<std::array<double, 3>> rail_band(const Line& line, const std::vector<double>& burn_l,
                                             const estimate::Options& options) {
  models::ChainBatch chains;
  return bands_of(pictured(
      line, burn_l, options,
      [&](const LineBatch& lines) { chains.prepare(lines.to_injectors(), lines.size()); },
      [&](const Drawn& /*drawn*/, const LineBatch& lines, std::span<const double> passed,
          std::span<double> content) {
        chains.cdf(passed, content);
        for (std::size_t i = 0; i < content.size(); ++i) content[i] = lines.content(i, content[i]);
      }));
}

std::vector<std::array<double, 3>> shown_band(const Line& line, const std::vector<double>& burn_l,
                                              const estimate::Options& options) {
  const scenario::Sensor& sensor = line.inputs().scenario().sensor;
  models::LaggedBatch lagged;
  return bands_of(pictured(
      line, burn_l, options,
      [&](const LineBatch& lines) {
        lagged.prepare(lines.to_sensor(), lines.through(), sensor.lag_s, lines.size());
      },
      [&](const Drawn& drawn, const LineBatch& lines, std::span<const double> passed,
          std::span<double> content) {
        lagged.at(passed, content);
        for (std::size_t i = 0; i < content.size(); ++i) {
          content[i] =
              lines.content(i, content[i]) + lines.bias()[i] + sensor.noise_sd * drawn.noise[i];
        }
      }));
}

}  // namespace blendrisk::line
