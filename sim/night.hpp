// SPDX-License-Identifier: Apache-2.0
// A frost night: cold air forms on the ground from sunset to sunrise, drains and pools.
//
// The air starts at one potential temperature; the ground takes a constant flux of heat out of it. Radiation
// frost on a clear night is meant; a freeze that comes with wind from afar is another thing, and its safe
// ground is another.
#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "sim/coarse_ground.hpp"
#include "sim/column_temperature.hpp"
#include "sim/ground.hpp"
#include "sim/stack_parameters.hpp"

namespace lielow {

/// Dry adiabatic lapse rate g/cp, K/m.
inline constexpr double dry_lapse = 9.81 / 1005.0;

/// Courant number of a night's steps: up to 1 a stack of many sheets gains no noise and its temperatures keep
/// to those of short steps within 0.01 K (docs/verification.md, "How far it can be driven").
inline constexpr double night_courant = 0.9;

struct NightSetup {
    double duration_s = 36000;      ///< sunset to sunrise
    double evening_air_k = 283.15;  ///< at sunset, at the reference elevation
    double reference_elevation_m = 0;
    double heat_loss_w_m2 = 15.0;  ///< out of the air, clear sky
    double cloud = 0.0;            ///< share of the sky, 0..1
    double mixing_m2_s = 0.04;     ///< K, of heat and of momentum between sheets
    double ground_drag = 0.02;     ///< Cd
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

/// Share of the clear-sky loss that is left under cloud: the cloud factor of FAO-56 equation 39, 1.35 Rs/Rso
/// − 0.35, with Rs/Rso = (0.25 + 0.5 (1 − cloud))/0.75 from its equation 35: 1 − 0.9 cloud (Allen et al.
/// 1998, Irrigation and Drainage Paper 56).
double cloud_factor(double cloud);

/// ρ cp of air, J/(m³ K), from temperature and elevation (ideal gas, standard atmosphere's pressure).
double air_heat_capacity(double temperature_k, double elevation_m);

/// What was chosen for a night, and why it costs what it costs.
struct NightPlan {
    Blocks blocks;
    Grid grid;
    int sheets = 0;
    double sheet_step_k = 0;
    double loss_k_m_s = 0;     ///< q
    double flat_drop_k = 0;    ///< drop at the ground of flat calm land at sunrise, 2 q √(t/(π K))
    double expected_work = 0;  ///< cell-sheet steps
};

NightPlan plan_night(const Ground& ground, const NightSetup& settings);

/// The stack at one moment, on the coarse grid.
struct NightState {
    double time_s = 0;                          ///< after sunset
    std::vector<Field<float>> isotherm_height;  ///< per sheet, top first: m above the ground
    Field<float> wind_x;                        ///< m/s, of the lowest air, along the rows of the raster
    Field<float> wind_y;                        ///< m/s, down the rows
};

struct NightResult {
    NightPlan plan;
    ColumnScale scale;
    Field<double> ground;            ///< coarse, m
    std::vector<NightState> states;  ///< every sample interval, the last at sunrise
    std::vector<Field<float>>
        coldest_height;  ///< isotherms of each cell at its own coldest moment (plant height), m
    Field<float> coldest_time_s;
    std::vector<double> far_field_height;  ///< isotherms over the level open land outside at sunrise, m
    double far_ground_m = 0;               ///< its elevation: the mean along the edges
    double ladder_full_share = 0;  ///< of the ground, where the coldest sheet was deeper than K δ/q: there
                                   ///< the ladder was too short and the air reads too warm
    double heat_lost_k_m3 = 0;     ///< ∫ q dt over the ground
    double heat_in_air_k_m3 = 0;   ///< missing from the air over the ground at the end
    double heat_through_edges_k_m3 = 0;  ///< missing heat that came in (+) or went out (−) over the edges
    std::int64_t steps = 0;
    [[nodiscard]] double heat_residual() const {
        return (heat_in_air_k_m3 - heat_through_edges_k_m3 - heat_lost_k_m3) / heat_lost_k_m3;
    }
};

/// Standing obstacles to the air, on the coarse grid.
struct NightCanopy {
    Field<float> top;   ///< m
    Field<float> drag;  ///< drag coefficient × frontal area density, 1/m
};

/// Called with the share of the night that is done; returns false to stop (the run then throws Interrupted).
using NightProgress = std::function<bool(double share)>;

class NightRing;

/// How a night hangs together with another one (sim/night_nest.hpp).
struct NightLinks {
    NightRing* record = nullptr;         ///< is given this night's stack along the edges of the one inside
    const NightRing* outside = nullptr;  ///< says what lies beyond the edges, in place of NightSetup::edges
};

/// Runs the night in single precision. Throws InputError on settings out of range, RunError when the flow
/// fails.
NightResult run_night(const Ground& ground, const NightSetup& settings, const NightPlan& plan,
                      const NightCanopy* canopy = nullptr, const NightProgress& progress = {},
                      const NightLinks& links = {});

}  // namespace lielow
