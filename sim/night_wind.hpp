// SPDX-License-Identifier: Apache-2.0
// The wind aloft on a whole night: hour by hour, sheltered cell by cell (sim/wind_shelter.hpp), it eats the
// cold air from above, mixes it (sim/wind_erosion.hpp) and drags on its top. Acts on the stack from time to
// time, between steps of the flow; without wind it does nothing at all.
#pragma once

#include <memory>
#include <vector>

#include "sim/night.hpp"
#include "sim/stack_solver.hpp"
#include "sim/wind_erosion.hpp"

namespace lielow {

class NightWind {
  public:
    /// `ground` is the coarse ground, m. Throws InputError on settings out of range.
    NightWind(const NightSetup& setup, const NightPlan& plan, const Field<double>& ground);

    /// From how many directions it blows: so many planes of shelter are held. 0 in a calm night.
    static std::size_t directions(const NightSetup& setup);
    /// The same wind on rows of these cells alone, as they are before the night begins.
    [[nodiscard]] NightWind of_rows(const RowSpan& rows) const;

    /// No wind at any time of the night.
    [[nodiscard]] bool is_calm() const { return hours_.empty(); }
    /// Takes the wind of this moment, s after sunset. It is linear between the hours.
    void look(double time_s);
    /// Lets the present wind act for `span` seconds.
    void act(StackSolver<float>& solver, double span);
    /// Longest step that the flow may take next, s: it knows how long a step may be from the velocities of
    /// its last one and must see those that the wind has changed before it takes a long one.
    [[nodiscard]] double step_after(const Grid& grid) const;
    /// The same on one column of level open land.
    void act_on_open_land(StackSolver<double>& column, double span) const;

    /// Friction velocity now, m/s: of open land, and of a cell.
    [[nodiscard]] double open_u_star() const { return u_star_; }
    [[nodiscard]] double u_star(std::int32_t row, std::int32_t col) const {
        return u_star_ * static_cast<double>(share_(row, col));
    }
    /// Eddy diffusivity of the air near the ground, m²/s, where that takes `loss` (K m/s): what still air has
    /// and what the wind adds.
    [[nodiscard]] double mixing_near_ground(double u_star, double loss) const;
    /// Only these rows are booked from now on.
    void count(const RowSpan& rows) { counted_ = rows; }
    /// Heat that has come down into the air over the ground, K m summed over cells.
    [[nodiscard]] double booked() const { return booked_; }
    void walk(StateWalk& walk);

  private:
    NightWind() = default;
    struct Hour {
        double time_s;
        double speed;       ///< m/s, over open ground
        double to_x, to_y;  ///< and its parts along and down the rows; 0 where its direction isn't known
        std::shared_ptr<const Field<float>> share;  ///< of it that reaches each cell, those before
                                                    ///< first_cell_ and beyond too
    };
    void add_hours(const NightSetup& setup, const NightPlan& plan, const Field<double>& ground);
    void blow(double u_star, double span, int sheets, double* level) const;
    double act_on_row(StackSolver<float>& solver, std::int32_t row, double span) const;
    void push_row(StackSolver<float>& solver, std::int32_t row, double span) const;

    WindAloft wind_;
    ErosionScale scale_;
    double theta_k_ = 0;
    double still_mixing_ = 0;
    bool mixes_ = false;  ///< what it stirs mixes here; else in the stack itself
    double drag_ = 0;     ///< of the wind on the top of the cold air
    std::vector<Hour> hours_;
    std::size_t first_cell_ = 0;
    RowSpan counted_;
    Field<float> share_;  ///< now
    double u_star_ = 0;   ///< now, of open land
    double speed_ = 0;
    double to_x_ = 0;
    double to_y_ = 0;
    double booked_ = 0;
};

}  // namespace lielow
