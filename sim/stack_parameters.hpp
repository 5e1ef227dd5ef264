// SPDX-License-Identifier: Apache-2.0
// What a stack of sheets is made of and what acts on it. docs/physics.md has the equations.
#pragma once

#include <cstdint>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

/// What lies outside one side of the grid.
enum class EdgeKind : std::uint8_t {
    wall,       ///< nothing crosses
    open,       ///< what reaches the edge leaves, nothing comes back
    inflow,     ///< a discharge into the top sheet, as StackSolver::set_inflow says
    far_field,  ///< level open ground under the same sky, whose stack lies as StackSolver::set_far_field says
    given,      ///< a stack that differs from place to place, as StackSolver::set_outside says
};

struct Edges {
    EdgeKind west = EdgeKind::wall;
    EdgeKind east = EdgeKind::wall;
    EdgeKind north = EdgeKind::wall;  ///< the side of row 0
    EdgeKind south = EdgeKind::wall;
};

/// How the ground holds back the sheet that touches it.
enum class DragLaw : std::uint8_t {
    none,
    quadratic,       ///< stress = Cd |u| u; coefficient Cd, dimensionless
    manning,         ///< stress = g n² |u| u / h^(1/3); coefficient n, s m^(-1/3)
    darcy_weisbach,  ///< stress = f/8 |u| u; coefficient f, dimensionless
};

/// What decides how air mixes up and down.
enum class MixingLaw : std::uint8_t {
    uniform,    ///< one eddy diffusivity everywhere
    stability,  ///< the log-linear profile of a given friction velocity, gap by gap (sim/stable_mixing.hpp)
};

/// Manning's n falls where water is deeper than what stands in it: the ground's own coefficient up to
/// `thin_to`, linear in the depth from there, and this one (where it is the smaller) from `deep_from` on.
/// Coefficients for sheet flow hold to about 0.1 ft (TR-55), those for flooded grass are far smaller; that
/// n falls as grass is drowned is measured (Ree & Palmer 1949, USDA Techn. Bull. 967); the straight line
/// between is common practice, no source.
struct DeepRoughness {
    double coefficient = 0;  ///< n, s m^(-1/3); 0: the ground's own at every depth
    double thin_to = 0.03;   ///< m
    double deep_from = 0.3;  ///< m
};

/// Exchange of heat between sheets by mixing, and the loss to the ground; only for a ladder of equal steps of
/// deficit.
struct ColumnExchange {
    bool active = false;
    double mixing = 0.04;  ///< eddy diffusivity K, m²/s; of uniform mixing
    double sheet_step = 1.0;  ///< δ, K: sheet k (1 on top) is (k−½)δ to (k+½)δ colder than the evening air
    double gap_floor =
        0.5;  ///< m: conduction through a thinner gap is taken as through this one (keeps the step usable)
    MixingLaw law = MixingLaw::uniform;
    double friction_velocity =
        0;                   ///< m/s, of mixing that follows stability, until set_stirring says otherwise
    double roughness = 0.1;  ///< length z0, m, the same
};

/// Accuracy of the scheme where the flow is smooth.
enum class SchemeOrder : std::uint8_t {
    first,   ///< robust
    second,  ///< limited face thickness and advection, centred in time
};

struct StackParameters {
    SchemeOrder order = SchemeOrder::first;
    std::vector<double> buoyancy;  ///< b_k, m/s², top sheet first, strictly rising; water: {9.81}
    double courant = 0.7;          ///< share of the stable step that is used
    double longest_step = 60.0;    ///< s
    Edges edges;
    DragLaw drag_law = DragLaw::none;
    double drag_coefficient = 0.0;  ///< of the ground, unit by law
    DeepRoughness deep_roughness;   ///< Manning's law only
    double drag_height =
        2.0;  ///< m: the ground's drag acts on the air up to this height (stacks of more than one sheet)
    double interface_drag =
        0.0;  ///< dimensionless: stress between sheets c_i |Δu| Δu, and against the air above
    double momentum_mixing = 0.0;  ///< m²/s: diffusivity of momentum between sheets
    double wind_x = 0.0;           ///< m/s, air above the stack, along columns
    double wind_y = 0.0;           ///< m/s, down the rows
    ColumnExchange exchange;

    /// Most sheets a stack can have.
    static constexpr int most_sheets = 32;
};

/// The ladder of a frost night: b_k = k δ g / θ0.
std::vector<double> night_buoyancy(int sheets, double sheet_step_k, double potential_temperature_k);

/// Throws InputError when a grid or a parameter is out of range.
void validate_stack(const Grid& grid, const StackParameters& p);

/// Throws InputError when the largest loss `most`, K m/s, is more than the thinnest gap conducts: it would
/// lift the coldest isotherm past the next one and make heat.
void validate_loss(double most, const ColumnExchange& x);

}  // namespace lielow
