#pragma once

#include <cstddef>

/// The volume balance of blend.hpp over a batch of cases, vectorised: element i of every column is
/// case i. Columns have at least n elements and do not overlap unless said.
namespace blendrisk::models {

/// heel[i] of the first fill, see heel_volume.
void heel_volumes(double indicated_l, const double* gauge_error_l, const double* most_l,
                  double* heel_l, std::size_t n);

/// heel[i] of the first fill after driving to it, see heel_after_way.
void heels_after_way(double indicated_l, const double* gauge_error_l, const double* distance_km,
                     const double* economy_l_per_km, const double* most_l, double* heel_l,
                     std::size_t n);

/// heel[i] of a later fill, see heel_after_burning.
void heels_after_burning(const double* total_l, const double* burned_l, const double* click_off_l,
                         double* heel_l, std::size_t n);

/// Where fill_batch puts the parts of each case, see FillParts.
struct PartsColumns {
  double* total_l;
  double* heel_share;
  double* hose_share;
  double* fresh_share;
  double* short_l;
};

/// One fill of every case: `amount_l` × (1 + meter error), infinite = to click-off.
/// @return whether some case has nothing in the tank afterwards
bool fill_batch(double amount_l, const double* meter_error, const double* heel_l,
                const double* hose_l, const double* click_off_l, const PartsColumns& parts,
                std::size_t n);

/// content[i] becomes that of the mix of it, the hose's and the fresh fuel, see mixed_content.
void mix_batch(const PartsColumns& parts, const double* hose, const double* fresh, double* content,
               std::size_t n);

/// content[i] of the old fuel, see content_from_reading; may be the column of the bias itself.
void contents_from_reading(double reading, const double* bias, double* content, std::size_t n);

}  // namespace blendrisk::models
