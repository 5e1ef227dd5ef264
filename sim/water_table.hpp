// SPDX-License-Identifier: Apache-2.0
// The water table over a restrictive layer, and how it falls (docs/drainage.md).
//
//     μ ∂h/∂t = ∇·(K (h − floor) ∇h) + recharge − drains,   floor ≤ h ≤ surface
//
// (Boussinesq 1904, J. Math. Pures Appl. 10:5-78), with the level h of the water table, the drainable
// porosity μ and the conductivity K. Where the ground is full to the surface, or to the water in a ditch,
// what has no room comes out: either the ground has room and nothing comes out, or it is full and as much
// comes out as keeps it so. Backward Euler in time, finite volumes in space, a semismooth Newton method
// (Hintermüller, Ito & Kunisch 2002, SIAM J. Optim. 13:865-888) with BiCGSTAB for the steps. The same bits
// for any number of threads.
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "sim/grid.hpp"
#include "sim/soil.hpp"

namespace lielow {

/// Where the water went since the start, m³. What comes in is the start's and the recharge.
struct WaterTableBalance {
    double stored_at_start_m3 = 0;
    double stored_m3 = 0;      ///< drainable water in the ground now
    double recharge_m3 = 0;    ///< let in from above
    double to_surface_m3 = 0;  ///< came out of the ground where it was full
    double to_ditches_m3 = 0;
    double to_drains_m3 = 0;
    double over_edges_m3 = 0;  ///< left through the ground beyond the grid

    /// What the solver lost or made up.
    [[nodiscard]] double residual_m3() const {
        return stored_at_start_m3 + recharge_m3 - stored_m3 - to_surface_m3 - to_ditches_m3 - to_drains_m3 -
               over_edges_m3;
    }
};

/// Plants draw on the water table where it is within their reach: `rate_m_s` with the table at the surface,
/// less in proportion to its depth, nothing from `reach_m` on.
struct RootUptake {
    double rate_m_s = 0;
    double reach_m = 1;  ///< > 0
};

struct WaterTableSettled {
    bool settled = false;  ///< false: the table is somewhere on its way
    int newton_steps = 0;
    int linear_iterations = 0;
    double imbalance_m_s = 0;  ///< greatest over the cells, of what comes and what goes, m of water
};

struct WaterTableStep {
    bool taken = false;  ///< false: nothing was changed; try a shorter step
    double error_m = 0;  ///< estimate of the step's own error in h, greatest over the cells
    int newton_steps = 0;
    int linear_iterations = 0;  ///< in all of them
};

/// Cells without elevation have no ground: nothing flows through them, and over their rim as over the grid's
/// edge: where the floor falls towards the edge water leaves with that slope, else it is a wall.
class WaterTable {
  public:
    /// The water table stands at the surface to begin with. Throws InputError as check in sim/soil.hpp does,
    /// and for fields of another shape.
    WaterTable(const Grid& grid, const Field<float>& z, const Soil& soil, const GroundDrains& drains = {});
    ~WaterTable();
    WaterTable(WaterTable&&) noexcept;
    WaterTable& operator=(WaterTable&&) noexcept;

    [[nodiscard]] const Grid& grid() const;
    /// Cells that have ground, numbered row by row; the spans below run over those numbers.
    [[nodiscard]] std::size_t size() const;
    [[nodiscard]] std::span<const std::uint32_t> grid_cells() const;

    /// Sets the depth of the water table below the surface, m, cut to what is possible there; starts the
    /// balance afresh.
    void start(const Field<float>& table_depth_m);
    /// Puts water into the ground cell by cell, m of water; `left_m` gets what found no room below the cap.
    /// Starts the balance afresh.
    void fill(const Field<float>& water_m, Field<float>& left_m);

    /// Takes the table to where steady `recharge_m_s` and `uptake` hold it, ground that is full letting out
    /// the rest: time steps that grow as they settle (pseudo-transient continuation, Kelley & Keyes 1998,
    /// SIAM J. Numer. Anal. 35:508-523), from where the table is now. Starts the balance afresh.
    WaterTableSettled settle(double recharge_m_s, const RootUptake& uptake = {});

    /// One step with `recharge_m_s` (>= 0, by number) from above. It isn't taken, and false comes back, when
    /// the iteration doesn't settle or the estimated error is above `most_error_m`.
    WaterTableStep step(double dt_s, std::span<const double> recharge_m_s, double most_error_m);

    /// Water that came out at the surface in the last step, m of water by number; nought in ditches.
    [[nodiscard]] std::span<const double> came_out_m() const;
    /// Saturated thickness above the floor, m.
    [[nodiscard]] std::span<const double> thickness_m() const;
    /// Depth of the floor, and so of the water table when there is none, m.
    [[nodiscard]] std::span<const double> floor_depth_m() const;
    /// Depth of the water table below the surface, m: 0 where the ground is full, the floor's depth where it
    /// is empty, NaN where there is no ground.
    [[nodiscard]] Field<float> table_depth() const;
    [[nodiscard]] const WaterTableBalance& balance() const;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

}  // namespace lielow
