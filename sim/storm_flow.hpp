// SPDX-License-Identifier: Apache-2.0
// A storm on a ground: rain, less what the ground takes, runs off through the one flow solver (a stack of one
// sheet with g), and what it does on its way is watched. docs/storm.md has the method and its errors.
//
// The storm advances in pulses of a few seconds: the flow runs through a pulse, then each cell gets the
// pulse's rain and loses what soaks in of the water that is there. Rain brings no momentum and takes none;
// where it matters (sheets of millimetres) drag sets the speed within a tenth of a second anyway.
#pragma once

#include <cstdint>
#include <functional>
#include <variant>
#include <vector>

#include "sim/curve_number.hpp"
#include "sim/flow_line.hpp"
#include "sim/green_ampt.hpp"
#include "sim/grid.hpp"
#include "sim/hyetograph.hpp"
#include "sim/stack_parameters.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {

/// What the ground takes. A cell's number picks from the list; an empty `of_cell` picks the first everywhere;
/// an empty list takes nothing.
struct CurveLosses {
    std::vector<CurveLoss> list;
    Field<std::uint8_t> of_cell;
};
struct GreenAmptLosses {
    std::vector<GreenAmptSoil> list;
    Field<std::uint8_t> of_cell;
};
/// The same share of all rain runs off.
struct ShareLoss {
    double runoff_share = 1;
};
using StormLoss = std::variant<ShareLoss, CurveLosses, GreenAmptLosses>;

struct StormPlan {
    Grid grid;
    Field<double> ground;         ///< m, finite everywhere
    Field<std::uint8_t> outside;  ///< 1: no ground is known; water that gets there is gone. Empty = none
    MassCurve rain;
    double follow_s = 0;  ///< how long the water is followed after the rain
    StormLoss loss;
    Field<float> roughness;  ///< Manning's n of shallow flow, s m^(-1/3)
    DeepRoughness deep;      ///< and of deep flow
    Edges edges{EdgeKind::open, EdgeKind::open, EdgeKind::open, EdgeKind::open};
    double deep_water_m = 0.0254;  ///< water deeper than this is counted in hours: an inch
    double speed_water_m = 0.01;   ///< speeds of thinner water are not told
    double longest_pulse_s = 10;
    double rain_per_pulse_m = 1e-4;    ///< pulses are shortened to this, but not below a second
    std::vector<Polyline> lines = {};  ///< across which discharge is told
    double hydrograph_step_s = 300;
};

/// Where the water went, m³. rain = infiltrated + stored + left.
struct StormLedger {
    double rain = 0;
    double infiltrated = 0;
    double stored = 0;  ///< on the ground at the end
    double left = 0;    ///< over the edges and into cells outside the ground
    /// What is unaccounted for, as a share of the rain.
    [[nodiscard]] double gap() const { return rain > 0 ? (rain - infiltrated - stored - left) / rain : 0.0; }
};

struct StormResult {
    Field<float> greatest_depth;  ///< m
    Field<float> deep_hours;      ///< h deeper than StormPlan::deep_water_m
    Field<float> peak_speed;      ///< m/s, where water was deeper than StormPlan::speed_water_m; 0 elsewhere
    StormLedger ledger;
    std::vector<double> times_s;  ///< ends of the hydrographs' steps
    std::vector<std::vector<double>>
        discharge;                 ///< of each line, m³/s from left to right, mean over the step
    std::vector<double> outflow;   ///< all that left in the step, m³/s
    std::vector<double> rain_m_s;  ///< mean rain of the step
    std::int64_t steps = 0;
    double shortest_step_s = 0;
};

/// Where a storm stands after a pulse.
struct StormMoment {
    double time_s = 0;
    double seconds = 0;     ///< of the pulse
    double rain_m = 0;      ///< so far
    double run_off_m3 = 0;  ///< rain so far less what has soaked in
};

/// Called after every pulse with the solver's state, before the cells that drain are emptied.
template <class Real>
using StormObserver = std::function<void(const StormMoment&, const StackSolver<Real>&)>;

/// Runs the storm. In double precision the ledger closes to rounding; in single precision to about 1e-5 of
/// the rain (measured in tests/test_storm_flow.cpp), for small change is lost on deep water. Throws
/// InputError for what is out of range. Results don't depend on the number of threads.
template <class Real>
StormResult run_storm(const StormPlan& plan, const StormObserver<Real>& observer = {});

extern template StormResult run_storm<float>(const StormPlan&, const StormObserver<float>&);
extern template StormResult run_storm<double>(const StormPlan&, const StormObserver<double>&);

}  // namespace lielow
