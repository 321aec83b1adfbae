#include "models/blend_batch.hpp"

#include <cstdint>
#include "models/blend.hpp"
#include "numeric/target_clones.hpp"

namespace blendrisk::models {
namespace {

BLENDRISK_CLONES void heel_loop(double indicated, const double* gauge, const double* most,
                                double* heel, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) heel[i] = heel_volume(indicated, gauge[i], most[i]);
}

BLENDRISK_CLONES void burn_loop(const double* total, const double* burned, const double* click_off,
                                double* heel, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    heel[i] = heel_after_burning(total[i], burned[i], click_off[i]);
  }
}

BLENDRISK_CLONES bool fill_loop(double amount, const double* __restrict meter,
                                const double* __restrict heel, const double* __restrict hose,
                                const double* __restrict click_off, double* __restrict total,
                                double* __restrict heel_share, double* __restrict hose_share,
                                double* __restrict fresh_share, double* __restrict short_l,
                                std::size_t n) {
  std::uint64_t empty = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double ordered = larger(amount * (1.0 + meter[i]), 0.0);
    const FillParts<double> parts = fill_parts(heel[i], ordered, hose[i], click_off[i]);
    total[i] = parts.total_l;
    heel_share[i] = parts.heel_share;
    hose_share[i] = parts.hose_share;
    fresh_share[i] = parts.fresh_share;
    short_l[i] = parts.short_l;
    empty |= parts.total_l <= 0.0 ? 1U : 0U;
  }
  return empty != 0;
}

BLENDRISK_CLONES void mix_loop(const double* heel_share, const double* hose_share,
                               const double* fresh_share, const double* hose, const double* fresh,
                               double* content, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const FillParts<double> parts{0.0, heel_share[i], hose_share[i], fresh_share[i], 0.0};
    content[i] = mixed_content(parts, content[i], hose[i], fresh[i]);
  }
}

BLENDRISK_CLONES void reading_loop(double reading, const double* bias, double* content,
                                   std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) content[i] = content_from_reading(reading, bias[i]);
}

BLENDRISK_CLONES void way_loop(double indicated, const double* gauge, const double* distance,
                               const double* economy, const double* most, double* heel,
                               std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    heel[i] = heel_after_way(indicated, gauge[i], distance[i], economy[i], most[i]);
  }
}

}  // namespace

void heels_after_way(double indicated_l, const double* gauge_error_l, const double* distance_km,
                     const double* economy_l_per_km, const double* most_l, double* heel_l,
                     std::size_t n) {
  way_loop(indicated_l, gauge_error_l, distance_km, economy_l_per_km, most_l, heel_l, n);
}

void heel_volumes(double indicated_l, const double* gauge_error_l, const double* most_l,
                  double* heel_l, std::size_t n) {
  heel_loop(indicated_l, gauge_error_l, most_l, heel_l, n);
}

void heels_after_burning(const double* total_l, const double* burned_l, const double* click_off_l,
                         double* heel_l, std::size_t n) {
  burn_loop(total_l, burned_l, click_off_l, heel_l, n);
}

bool fill_batch(double amount_l, const double* meter_error, const double* heel_l,
                const double* hose_l, const double* click_off_l, const PartsColumns& parts,
                std::size_t n) {
  return fill_loop(amount_l, meter_error, heel_l, hose_l, click_off_l, parts.total_l,
                   parts.heel_share, parts.hose_share, parts.fresh_share, parts.short_l, n);
}

void mix_batch(const PartsColumns& parts, const double* hose, const double* fresh, double* content,
               std::size_t n) {
  mix_loop(parts.heel_share, parts.hose_share, parts.fresh_share, hose, fresh, content, n);
}

void contents_from_reading(double reading, const double* bias, double* content, std::size_t n) {
  reading_loop(reading, bias, content, n);
}

}  // namespace blendrisk::models
