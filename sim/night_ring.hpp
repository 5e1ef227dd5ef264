// SPDX-License-Identifier: Apache-2.0
// What a night on wide ground says along the edges of a night nested in it: the ring of samples through time
// that couples the two, one way.
//
// Kept are the elevations of the isotherms, not their heights: over the finer ground inside they then stand
// as high as level air would, and a knoll or a gully of the finer ground on the edge makes no step in the
// air. But where air runs down a slope it follows the ground, and a gully that the outer cells don't see
// would be filled to the level of the slopes beside it: there it is no more than twice as high as over the
// outer ground. How far it is the one or the other is told by the isotherm's own slope |∇S| and that of its
// height |∇H|: the most is twice the height over |∇S|/(|∇S| + |∇H|), anything where it lies level.
#pragma once

#include <array>
#include <vector>

#include "sim/grid.hpp"
#include "sim/night.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {

class NightRing {
  public:
    /// Two nights' grids in one frame, and the ground that each one's air flows over, raised where solid
    /// things stand. `east_m`, `south_m`: from the outer grid's first corner to the inner one's, along the
    /// rows and down them. Both plans must have the same sheets and step. Throws InputError where the inner
    /// grid and the cells around it don't lie inside the outer one.
    NightRing(const NightPlan& outer, Field<double> outer_ground, double east_m, double south_m,
              const NightPlan& inner, const Field<double>& inner_ground);

    /// Takes a sample of the outer night at its present time. `gradient`: K/m, at the ground of each of its
    /// cells.
    void record(const StackSolver<float>& outer, const Field<float>& gradient);
    /// Whether the next sample is due: every minute at first, when isotherms rise fast, later every
    /// `longest_interval_s`, and at the end.
    [[nodiscard]] bool due(double time, double end) const;
    void set_longest_interval(double seconds) { longest_interval_s_ = seconds; }

    /// The slope of the ground outside, for the inner solver's edges of kind given.
    void lay_ground(StackSolver<float>& inner) const;
    /// The stack outside at the inner solver's present time, linear between samples.
    void give(StackSolver<float>& inner) const;

    [[nodiscard]] std::size_t samples() const { return samples_.size(); }
    void walk(StateWalk& walk);
    /// Held for the samples.
    [[nodiscard]] std::size_t bytes() const;

  private:
    /// One ghost cell of the inner grid: where it reads the outer one.
    struct Place {
        std::array<std::size_t, 4> cell;  ///< outer cells around it
        std::array<float, 4> weight;
        double ground;  ///< elevation of the ground there, m
        double rise;    ///< over the cell inside, m
    };
    /// Sheet by sheet, value [sheet * places + place].
    struct Sample {
        double time_s = 0;
        std::vector<float> height;  ///< of the isotherm over the inner night's ground, m; below 0: buried
        std::vector<float> velocity_x;
        std::vector<float> velocity_y;
    };
    [[nodiscard]] Place place_at(double x, double y, double inside_x, double inside_y, double inside_z,
                                 const Grid& outer) const;
    /// Height of one isotherm over the place's ground, from its elevations and heights on the outer cells.
    [[nodiscard]] float height_over(const Place& place, const Field<float>& elevation,
                                    const Field<float>& height) const;
    [[nodiscard]] double bilinear(double x, double y, const Grid& outer, Place& place) const;
    void record_velocity(const StackSolver<float>& outer, int sheet, Sample& sample) const;
    void give_side(Side side, const Sample& before, const Sample& after, float share,
                   StackSolver<float>& inner) const;

    NightPlan outer_;
    Field<double> outer_ground_;
    int sheets_;
    std::vector<Place> places_;           ///< west, east, north, south
    std::array<std::size_t, 5> first_{};  ///< first place of each side, and the end
    std::vector<Sample> samples_;
    double longest_interval_s_ = 300;
};

}  // namespace lielow
