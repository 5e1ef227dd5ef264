// SPDX-License-Identifier: Apache-2.0
// A frost night: cold air forms on the ground from sunset to sunrise, drains and pools.
//
// The air starts at one potential temperature; the ground takes heat out of it (sim/night_forcing.hpp), wind
// aloft brings some back (sim/night_wind.hpp).
// Radiation frost on a clear night is meant; a freeze that comes with wind from afar is another thing, and
// its safe ground is another.
#pragma once

#include <cstdint>
#include <functional>
#include <limits>
#include <memory>
#include <vector>

#include "sim/coarse_ground.hpp"
#include "sim/column_temperature.hpp"
#include "sim/ground.hpp"
#include "sim/net_longwave.hpp"
#include "sim/night_surface.hpp"
#include "sim/stack_parameters.hpp"
#include "sim/state_walk.hpp"
#include "sim/weather_hour.hpp"

namespace lielow {

/// Dry adiabatic lapse rate g/cp, K/m.
inline constexpr double dry_lapse = 9.81 / 1005.0;

/// Where the loss out of the air comes from: a given constant, or the radiation of ground and sky.
enum class LossRule : std::uint8_t { constant, radiation };

/// The wind over open ground, above what the night itself sets in motion.
struct WindAloft {
    double speed_m_s = 0;
    double from_rad = std::numeric_limits<double>::quiet_NaN();  ///< clockwise from north; NaN = not known
    double height_m = 10;        ///< above the ground, at which the wind (the weather's too) was measured
    double roughness_m = 0.1;    ///< roughness length of open ground
    double mixed_depth_m = 100;  ///< of the air that the wind keeps mixed above the cold air
};

/// Courant number of a night's steps: up to 1 a stack of many sheets gains no noise and its temperatures keep
/// to those of short steps within 0.01 K (docs/verification.md, "How far it can be driven").
inline constexpr double night_courant = 0.9;

struct NightSetup {
    double duration_s = 36000;      ///< sunset to sunrise
    double evening_air_k = 283.15;  ///< at sunset, at the reference elevation
    double reference_elevation_m = 0;
    LossRule loss_rule = LossRule::constant;
    double heat_loss_w_m2 = 15.0;  ///< constant: out of the air, clear sky
    double dew_point_k = 0;        ///< radiation: all night, where there is no weather
    double air_share = 0.5;        ///< radiation: of the net loss, out of the air; the rest out of the soil
    std::vector<WeatherHour> weather;  ///< radiation: times after sunset; empty = evening air, dew point and
                                       ///< cloud hold all night
    WindAloft wind;  ///< its speed and direction count where no record of the weather has a wind
    std::shared_ptr<const Field<float>> sky_view;    ///< on the ground's grid, per map area; null = 1
    std::shared_ptr<const Field<float>> cover_loss;  ///< on the ground's grid, factor on the loss; null = 1
    double cloud = 0.0;                              ///< share of the sky, 0..1
    MixingLaw mixing_law = MixingLaw::uniform;
    double mixing_m2_s = 0.04;  ///< K of uniform mixing, of heat and of momentum between sheets
    double calm_friction_velocity_m_s = 0.08;  ///< u* where neither flow nor wind stir more (mixing that
                                               ///< follows stability)
    double ground_drag = 0.02;                 ///< Cd
    double interface_drag = 0.002;
    double plant_height_m = 1.5;
    double sheet_step_k = 0;  ///< δ; 0 = chosen
    int sheets = 0;           ///< 0 = chosen
    double cell_m = 0;        ///< coarse cell; 0 = chosen
    EdgeKind edges = EdgeKind::far_field;
    SchemeOrder order = SchemeOrder::first;
    double sample_interval_s = 900;  ///< between kept states
    double work_limit = 6e9;         ///< cell-sheet steps that a chosen cell may cost
};

/// ρ cp of air, J/(m³ K), from temperature and elevation (ideal gas, standard atmosphere's pressure).
double air_heat_capacity(double temperature_k, double elevation_m);

/// What was chosen for a night, and why it costs what it costs.
struct NightPlan {
    Blocks blocks;
    Grid grid;
    int sheets = 0;
    double sheet_step_k = 0;
    // Of flat calm open land (flat_night):
    double loss_k_m_s = 0;          ///< q, mean of the night
    double peak_loss_k_m_s = 0;     ///< before anything has cooled
    double coldest_loss_k_m_s = 0;  ///< when the drop is greatest
    double flat_drop_k = 0;         ///< greatest drop at the ground; under constant loss 2 q √(t/(π K))
    double expected_work = 0;       ///< cell-sheet steps
};

/// Of ground whose cells are `fine`.
NightPlan plan_night(const Grid& fine, const NightSetup& settings);
NightPlan plan_night(const Ground& ground, const NightSetup& settings);

/// The stack at one moment, on the coarse grid.
struct NightState {
    double time_s = 0;                          ///< after sunset
    std::vector<Field<float>> isotherm_height;  ///< per sheet, top first: m above the ground
    Field<float> wind_x;                        ///< m/s, of the lowest air, along the rows of the raster
    Field<float> wind_y;                        ///< m/s, down the rows
    Field<float> gradient;                      ///< K/m, of the air at the ground: its loss over its mixing
};

/// What became of the heat, over the whole ground or some rows of it.
struct NightHeat {
    double heat_lost_k_m3 = 0;           ///< ∫ q dt over the ground
    double heat_given_k_m3 = 0;          ///< by heaters, as far as the cold air took it
    double heat_unused_k_m3 = 0;         ///< of heaters: what rose above the cold air
    double heat_in_air_k_m3 = 0;         ///< missing from the air over the ground at the end
    double heat_through_edges_k_m3 = 0;  ///< missing heat that came in (+) or went out (−) over the edges
    double heat_from_aloft_k_m3 = 0;     ///< brought down into the air over the ground by the wind
    /// Share of the loss that the sums miss.
    [[nodiscard]] double heat_residual() const {
        return (heat_in_air_k_m3 + heat_from_aloft_k_m3 + heat_given_k_m3 - heat_through_edges_k_m3 -
                heat_lost_k_m3) /
               heat_lost_k_m3;
    }
};

struct NightResult : NightHeat {
    NightPlan plan;
    ColumnScale scale;
    Field<double> ground;            ///< coarse, m; as the DEM has it, nothing raised. The air over raised
                                     ///< cells is told to be that beside them
    std::vector<NightState> states;  ///< every sample interval, the last at sunrise
    std::vector<Field<float>>
        coldest_height;  ///< isotherms of each cell at its own coldest moment (plant height), m
    Field<float> coldest_time_s;
    Field<float> coldest_gradient;         ///< K/m, at the ground at that moment: q/K
    std::vector<double> far_field_height;  ///< isotherms over the level open land outside at sunrise, m
    double far_ground_m = 0;               ///< its elevation: the mean along the edges
    double ladder_full_share = 0;  ///< of the ground, where the coldest sheet was deeper than K δ/q: there
                                   ///< the ladder was too short and the air reads too warm
    std::int64_t steps = 0;
};

/// Called with the share of the night that is done; returns false to stop (the run then throws Interrupted).
using NightProgress = std::function<bool(double share)>;

template <class Real>
class StackSolver;

/// Sees every step of a night go by.
class NightObserver {
  public:
    virtual ~NightObserver() = default;
    /// Thickness and velocity as the step's fluxes will use them.
    virtual void before_step(const StackSolver<float>& solver) = 0;
    /// `dt`: the step's length, s.
    virtual void after_step(const StackSolver<float>& solver, double dt) = 0;
    /// With every state that the result keeps.
    virtual void at_state(const StackSolver<float>& solver) = 0;
    /// Over what it has gathered; one that gathers nothing needs none.
    virtual void walk(StateWalk& walk) { (void)walk; }
};

class NightRing;

/// Who looks on at a night, and how it hangs together with another one (sim/night_nest.hpp).
struct NightLinks {
    NightObserver* observer = nullptr;   ///< sees the steps
    NightRing* record = nullptr;         ///< is given this night's stack along the edges of the one inside
    const NightRing* outside = nullptr;  ///< says what lies beyond the edges, in place of NightSetup::edges
    std::function<void(const NightResult& so_far)> at_hour =
        {};                         ///< after every whole hour and at the end: plan, ground, states
    StateKeeper* keeper = nullptr;  ///< keeps the night at every whole hour and at its end; what it has
                                    ///< kept before, of the same night, is where the night goes on from
    const std::vector<double>* step_ends = nullptr;  ///< when steps end, s after sunset, in place of what
                                                     ///< the flow lets them be; every moment at which
                                                     ///< something else is due among them
};

/// Runs the night in single precision. Throws InputError on settings out of range, RunError when the flow
/// fails.
NightResult run_night(const Ground& ground, const NightSetup& settings, const NightPlan& plan,
                      const NightSurface* given = nullptr, const NightProgress& progress = {},
                      const NightLinks& links = {});

/// The same over ground that is known on the night's own cells alone, `cells`, m, finite: fields of
/// `settings` and `surface` are on these, and so is `plan`, whose blocks are 1 × 1.
NightResult run_night(Field<double> cells, const NightSetup& settings, const NightPlan& plan,
                      const NightSurface* given = nullptr, const NightProgress& progress = {},
                      const NightLinks& links = {});

class NightRun;

/// The same night step by step, over open land. What it is made from must outlive it.
class NightSteps {
  public:
    NightSteps(const Ground& ground, const NightSetup& settings, const NightPlan& plan);
    ~NightSteps();
    NightSteps(const NightSteps&) = delete;
    NightSteps& operator=(const NightSteps&) = delete;

    [[nodiscard]] bool is_over() const;
    /// One step of the flow, and whatever else is due at its end.
    void step();
    [[nodiscard]] const StackSolver<float>& solver() const;
    /// Of the night's own cells, m.
    [[nodiscard]] const Field<double>& ground() const;
    /// What run_night gives; once, and only when the night is over.
    NightResult finish();

  private:
    std::unique_ptr<NightRun> run_;
};

}  // namespace lielow
