// SPDX-License-Identifier: Apache-2.0
// What the ground is made of, as the water in it sees it.
#pragma once

#include "sim/grid.hpp"

namespace lielow {

/// Cell by cell, on the ground's own grid.
struct Soil {
    Field<float> conductivity_m_s;    ///< saturated hydraulic conductivity, > 0
    Field<float> drainable_porosity;  ///< share of the volume that drains when the water table falls, 0..1
    Field<float> floor_depth_m;       ///< depth below the surface of the layer that holds water up, > 0
};

/// What takes water out of the ground, cell by cell. An empty field has none of its kind; NaN is a cell
/// without.
struct GroundDrains {
    Field<float> drain_depth_m;  ///< depth of the water level in the pipe (its axis) below the surface
    Field<float> linear_m2_s;    ///< discharge for each metre of water table above it, m³/s per m
    Field<float> square_m_s;     ///< and for each square metre of that height, m³/s per m²
    Field<float> ditch_depth_m;  ///< depth of an open ditch's water below the surface: no table stands higher
};

/// Refuses a conductivity, in m/s, that no soil has: 1e-9 (a tight clay liner) to 0.02 (clean gravel), with a
/// hint at the unit it may have been meant in. Throws InputError.
void check_conductivity(double conductivity_m_s);

/// Refuses a drainable porosity outside 0.002..0.5, with a hint where it looks like percent. Throws
/// InputError.
void check_drainable_porosity(double share);

}  // namespace lielow
