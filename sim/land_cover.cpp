// SPDX-License-Identifier: Apache-2.0
#include "sim/land_cover.hpp"

#include <algorithm>

namespace lielow {
namespace {

/// What covers one coarse cell.
struct Mixture {
    double ground_drag = 0;
    std::vector<double> share;  ///< by place in the table, 0 = none
};

Mixture mixture_of(const LandCover& cover, const Blocks& blocks, double night_drag, std::int32_t row,
                   std::int32_t col) {
    Mixture mixture{0, std::vector<double>(cover.classes.size() + 1, 0.0)};
    const std::int32_t last_row = std::min((row + 1) * blocks.rows, cover.cells.rows());
    const std::int32_t last_col = std::min((col + 1) * blocks.cols, cover.cells.cols());
    int count = 0;
    for (std::int32_t j = row * blocks.rows; j < last_row; ++j) {
        for (std::int32_t i = col * blocks.cols; i < last_col; ++i, ++count)
            mixture.share[cover.cells(j, i)] += 1;
    }
    for (double& share : mixture.share) share /= count;
    mixture.ground_drag = mixture.share[0] * night_drag;
    for (std::size_t k = 0; k < cover.classes.size(); ++k)
        mixture.ground_drag += mixture.share[k + 1] * cover.classes[k].ground_drag.value_or(night_drag);
    return mixture;
}

}  // namespace

const std::vector<CoverClass>& usual_cover_classes() {
    // Ground drag: (0.4 / ln(2 m / z0))², the neutral log law over the lowest 2 m, with the roughness length
    // z0 of Davenport's classes (Wieringa 1992, Journal of Wind Engineering and Industrial Aerodynamics 41,
    // 357-368): sea 0.0002 m, smooth 0.005 m, open 0.03 m, roughly open 0.1 m. Canopy drag: that of the
    // elements times their frontal area index.
    static const std::vector<CoverClass> classes{
        {"open soil", 1, 0.7, 0.0045, 0, 0,
         "drag: z0 0.005 m (Wieringa 1992, from memory); loss: bare moist soil gives more heat than sod, "
         "common "
         "practice, the figure has no source"},
        {"sod", 2, 1.0, 0.009, 0, 0,
         "drag: z0 0.03 m (Wieringa 1992, from memory); loss: what the night's loss is meant for, grass "
         "(FAO-56, "
         "equation 46: half of the net loss comes out of the soil)"},
        {"orchard", 3, 1.0, 0.009, 4.0, 0.2,
         "floor as sod; canopy: frontal area index 1 at bloom over 4 m, drag coefficient 0.2 (from memory); "
         "a choice"},
        {"wood", 4, 1.0, 0.018, 15.0, 0.6,
         "floor z0 0.1 m (Wieringa 1992, from memory); canopy: frontal area index 3 over 15 m, drag "
         "coefficient 0.2 "
         "(from memory); loss: left as it is, no source"},
        {"water", 5, 0.0, 0.0019, 0, 0,
         "drag: z0 0.0002 m (Wieringa 1992, from memory); loss: 1 m of mixed water that loses 60 W/m2 for 10 "
         "h cools "
         "by 0.5 K (heat capacity 4.19 MJ/(m3 K)), so the air over it hardly does"},
        {"built", 6, 0.5, std::nullopt, 6.0, 0.24,
         "canopy: frontal area index 0.2 of scattered low houses of 6 m (Grimmond & Oke 1999, Journal of "
         "Applied "
         "Meteorology 38, 1262-1292, from memory), drag coefficient 1.2 of blocks (from memory); loss: walls "
         "and "
         "paving store heat, the figure has no source"},
    };
    return classes;
}

Field<float> cover_loss(const LandCover& cover) {
    Field<float> loss(cover.cells.rows(), cover.cells.cols());
    for (std::size_t c = 0; c < loss.size(); ++c) {
        const std::size_t k = cover.cells[c];
        loss[c] = k == 0 ? 1.0F : static_cast<float>(cover.classes[k - 1].loss);
    }
    return loss;
}

void add_cover(const LandCover& cover, const Blocks& blocks, double night_drag, CanopySum& canopy,
               NightSurface& surface) {
    const Grid coarse = block_grid({cover.cells.rows(), cover.cells.cols(), 1, 1}, blocks);
    surface.ground_drag = Field<float>(coarse.rows, coarse.cols);
    for (std::int32_t j = 0; j < coarse.rows; ++j) {
        for (std::int32_t i = 0; i < coarse.cols; ++i) {
            const Mixture mixture = mixture_of(cover, blocks, night_drag, j, i);
            surface.ground_drag(j, i) = static_cast<float>(mixture.ground_drag);
            for (std::size_t k = 0; k < cover.classes.size(); ++k) {
                const CoverClass& c = cover.classes[k];
                if (mixture.share[k + 1] > 0 && c.height_m > 0 && c.canopy_drag > 0)
                    canopy.add(j, i, c.height_m, c.canopy_drag / c.height_m * mixture.share[k + 1]);
            }
        }
    }
}

}  // namespace lielow
