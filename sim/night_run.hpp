// SPDX-License-Identifier: Apache-2.0
// A night under way, step by step: on all of its cells or on the rows of a window (private to sim/).
#pragma once

#include <limits>
#include <vector>

#include "sim/coldest_moment.hpp"
#include "sim/heat_sources.hpp"
#include "sim/night.hpp"
#include "sim/night_far_field.hpp"
#include "sim/night_forcing.hpp"
#include "sim/night_mixing.hpp"
#include "sim/night_wind.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {

/// Lets the wind act on the stack and on the far field every half minute; never in a calm night.
class Gusts {
  public:
    explicit Gusts(NightWind& wind) : wind_(wind) {}
    /// When to act next, s after sunset.
    [[nodiscard]] double next() const {
        return wind_.is_calm() ? std::numeric_limits<double>::infinity() : last_ + interval;
    }
    /// Longest step that its last push allows next, s.
    [[nodiscard]] double longest_after(const StackSolver<float>& solver) const {
        const bool just_blown = !wind_.is_calm() && last_ > 0 && solver.time() <= last_;
        return just_blown ? wind_.step_after(solver.grid()) : std::numeric_limits<double>::infinity();
    }
    void blow(StackSolver<float>& solver, FarField& far) {
        if (wind_.is_calm()) return;
        const double span = solver.time() - last_;
        far.advance(solver.time());
        wind_.look(solver.time());
        wind_.act(solver, span);
        far.blow(span);
        last_ = solver.time();
    }
    void walk(StateWalk& walk) { walk.value(last_); }

  private:
    static constexpr double interval = 30;
    NightWind& wind_;
    double last_ = 0;
};

/// A night's cells and what is known of them before it begins.
struct NightCells {
    Field<double> ground;  ///< m, as the DEM has it
    Field<float> factor;   ///< on the loss
    NightWind wind;
    double far_ground_m = 0;  ///< elevation of the far field: of all ground's edges, not of a window's
    bool cut_north = false;   ///< the cells are a window's: more of the night's lie beyond their first row
    bool cut_south = false;   ///< or beyond their last one
    RowSpan counted;          ///< rows that count in sums
};
NightCells all_cells(Field<double> ground, const NightSetup& setup, const NightPlan& plan);
/// Rows of them.
NightCells cells_of_rows(const NightCells& all, const RowSpan& rows, const RowSpan& counted);
/// What stands on these rows.
NightSurface surface_of_rows(const NightSurface& all, const RowSpan& rows);

class NightRun {
  public:
    /// All but `cells` must outlive it. `plan` has the shape of the cells.
    NightRun(NightCells cells, const NightSetup& s, const NightPlan& plan, const NightSurface& surface,
             const NightLinks& links);
    NightRun(const NightRun&) = delete;
    NightRun& operator=(const NightRun&) = delete;

    [[nodiscard]] bool is_over() const { return solver_.time() >= s_.duration_s; }
    [[nodiscard]] const StackSolver<float>& solver() const { return solver_; }
    [[nodiscard]] const Field<double>& ground() const { return result_.ground; }
    /// When something else than flow is due next, s after sunset: no step goes beyond.
    [[nodiscard]] double stop() const;
    /// Whether the cells are looked at then.
    [[nodiscard]] bool looks_at(double time) const { return time >= next_look_ || time >= s_.duration_s; }
    /// Longest step next that the wind's last push allows, s, whatever the flow says.
    [[nodiscard]] double longest_after_gust() const { return gusts_.longest_after(solver_); }
    /// One step, and whatever is due at its end.
    void go_on(const NightProgress& progress);
    /// The same with a step that ends at `until`, at most stop().
    void go_on_to(double until, const NightProgress& progress);
    NightResult finish();
    /// Isotherms over the land outside at the end of the night, m.
    std::vector<double> far_field_at_end();
    [[nodiscard]] NightHeat heat() const;
    /// Columns at their coldest so far.
    [[nodiscard]] const ColdestMoment& coldest() const { return coldest_; }
    /// Keeps no states on the way.
    void forget_states() { keeps_states_ = false; }
    void walk(StateWalk& walk);

  private:
    static NightResult begun(NightCells& cells, const NightSetup& s, const NightPlan& plan);
    [[nodiscard]] bool nested() const { return links_.outside != nullptr; }
    [[nodiscard]] Field<float> gradient() const;
    void begin_step();
    void end_step(double stop, const NightProgress& progress);
    void record();
    void look(const NightProgress& progress);
    void keep();

    const NightSetup& s_;
    const NightPlan& plan_;
    const NightSurface& surface_;
    NightLinks links_;
    NightResult result_;
    Field<float> factor_;
    NightForcing forcing_;
    StackSolver<float> solver_;
    HeatSources heat_;
    NightWind wind_;
    NightMixing mixing_;
    FarField far_;
    Gusts gusts_;
    ColdestMoment coldest_;
    bool keeps_states_ = true;
    double next_look_;  ///< s after sunset, like those below
    double next_state_;
    double next_keep_;
};

/// How many of the cells there are whose coldest sheet, of the given height (m) and gradient at the ground
/// (K/m), grew past the depth at which a still colder one would have appeared.
std::size_t full_cells(const Field<float>& coldest_sheet, const Field<float>& gradient, double sheet_step);

}  // namespace lielow
