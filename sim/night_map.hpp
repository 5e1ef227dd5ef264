// SPDX-License-Identifier: Apache-2.0
// A night solved on coarse cells, read on the DEM's own grid.
//
// Isotherm surfaces are smooth, so their elevations are interpolated between coarse cells and the fine ground
// is put under them. Where an isotherm ends against rising ground its surface is carried on level past the
// shore, so that the shore is drawn by the fine ground and not by the coarse cell. An isotherm that a column
// doesn't have lies below its ground by what the gradient there leaves, not on it: a ditch deeper than the
// coarse cell's mean would otherwise fill with the whole ladder.
#pragma once

#include <vector>

#include "sim/ground.hpp"
#include "sim/ground_tiles.hpp"
#include "sim/night.hpp"

namespace lielow {

/// Isotherm elevations on the coarse grid, ready to be read at any fine cell.
class IsothermSurfaces {
  public:
    /// `heights`: per sheet, above the coarse ground, m (NightResult::coldest_height or a state's).
    /// `gradient`: at each coarse cell's ground, K/m (NightResult::coldest_gradient), in place of the
    /// scale's.
    IsothermSurfaces(const Ground& ground, const NightPlan& plan, const ColumnScale& scale,
                     const Field<double>& coarse_ground, const std::vector<Field<float>>& heights,
                     const Field<float>* gradient = nullptr);
    /// The same of some of the night's cells alone, `cells`: the fields are of these. To be read over fine
    /// cells of `fine` for which cells_around() gives no others; there, equal to the bit.
    IsothermSurfaces(const Grid& fine, const NightPlan& plan, const ColumnScale& scale, const Window& cells,
                     const Field<double>& coarse_ground, const std::vector<Field<float>>& heights,
                     Field<float> gradient);

    [[nodiscard]] int sheets() const { return static_cast<int>(elevation_.size()); }
    /// Heights above `z` of all isotherms over one fine cell, m, 0 where below the ground.
    void heights_over(std::int32_t row, std::int32_t col, float z, float* heights) const;
    /// Gradient at the ground of a fine cell, K/m.
    [[nodiscard]] double gradient_at(std::int32_t row, std::int32_t col) const;
    /// Elevation of one isotherm over each coarse cell, m; below the ground where the column lacks it.
    [[nodiscard]] const Field<float>& elevation(std::size_t sheet) const { return elevation_[sheet]; }

  private:
    Blocks blocks_;
    Grid fine_;
    Grid coarse_;   ///< all of the night's cells
    Window cells_;  ///< those that are here
    std::vector<Field<float>> elevation_;
    Field<float> gradient_;
};

/// The night's cells by which it is read on the DEM's cells `fine`, among them those beyond their edges over
/// which surfaces are carried past a shore.
Window cells_around(const Window& fine, const Grid& grid, const NightPlan& plan);

/// How much colder than the evening air each DEM cell is at `plant_height` above the ground, K; NaN where not
/// known.
Field<float> map_deficit(const Ground& ground, const IsothermSurfaces& surfaces, const ColumnScale& scale,
                         double plant_height);
/// The same of the DEM's cells `window` alone, whose heights are `z`, NaN where not known.
Field<float> map_deficit(const Window& window, const Field<float>& z, const IsothermSurfaces& surfaces,
                         const ColumnScale& scale, double plant_height);

/// Air temperature at plant height over the night's own cells, K, at the elevation of their mean ground: the
/// state as it is solved, before it is laid on the DEM's cells.
Field<float> cell_temperature_k(const NightResult& night, const NightSetup& settings,
                                const NightState& state);

/// Height of the top isotherm above each DEM cell, m.
Field<float> map_cold_depth(const Ground& ground, const IsothermSurfaces& surfaces);

/// Temperature, °C, from the deficit (replaced in place): the evening air cooled by the dry lapse with
/// height, less the deficit.
void deficit_to_celsius(const Ground& ground, const NightSetup& settings, Field<float>& deficit);
/// The same over heights `z`, m.
void deficit_to_celsius(const Field<float>& z, const NightSetup& settings, Field<float>& deficit);

}  // namespace lielow
