// SPDX-License-Identifier: Apache-2.0
// A storm run on coarse cells, told on the DEM's own: the water surface is smooth although the ground isn't.
//
// In a closed hollow of the fine ground water stands up to the surface found on the coarse cells, but no
// higher above the level at which the hollow runs over than water flows there; hollows too small for the
// coarse ground are filled with the storm's runoff by sim/storm_fill.hpp. On ground that drains the depth is
// that of the coarse cells, smoothed, less where the ground stands out of their surface. What that costs
// against a run on the fine ground is measured: docs/storm.md.
#pragma once

#include <span>
#include <vector>

#include "sim/catchments.hpp"
#include "sim/coarse_ground.hpp"
#include "sim/ground.hpp"
#include "sim/hollows.hpp"

namespace lielow {

class StormMap {
  public:
    /// All must outlive it. `coarse_ground` as block_means() gives it.
    StormMap(const Ground& ground, const Blocks& blocks, const Field<double>& coarse_ground,
             const Catchments& catchments, const Hollows& hollows);

    /// Takes in a state that stands for `seconds`: depth on the coarse cells, m, and the level to which
    /// runoff alone fills each catchment (StormPonds), m; the latter may be empty.
    void look(const Field<float>& coarse_depth, std::span<const double> pond_level, double seconds,
              double deep_m);

    /// Depth over each fine cell, m; NaN where the ground has no value.
    [[nodiscard]] Field<float> depth(const Field<float>& coarse_depth,
                                     std::span<const double> pond_level) const;
    /// A value of the coarse cells, smoothed.
    [[nodiscard]] Field<float> smooth(const Field<float>& coarse) const;

    [[nodiscard]] const Field<float>& greatest_depth() const { return greatest_; }
    [[nodiscard]] const Field<float>& deep_hours() const { return hours_; }

  private:
    /// Two coarse rows or columns and the share of the second.
    struct Between {
        std::int32_t first = 0, second = 0;
        float share = 0;
    };
    static std::vector<Between> lay_between(std::int32_t fine, std::int32_t block, std::int32_t coarse);
    /// Level of the water where it stands, m; NaN where all around is dry.
    [[nodiscard]] float surface(const Field<float>& coarse_depth, const Between& y, const Between& x) const;
    [[nodiscard]] float depth_at(const Field<float>& coarse_depth, std::span<const double> pond_level,
                                 std::int32_t row, std::int32_t col) const;

    const Ground& ground_;
    const Field<double>& coarse_;
    const Catchments& catchments_;
    const Hollows& hollows_;
    std::vector<Between> rows_, cols_;
    Field<float> greatest_, hours_;
};

}  // namespace lielow
