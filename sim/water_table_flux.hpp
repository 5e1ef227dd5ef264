// SPDX-License-Identifier: Apache-2.0
// Private to the water table: what flows from one cell of ground to the next.
#pragma once

namespace lielow {

/// Flow for unit conductivity, width and distance, m², and its slopes with the two saturated thicknesses, m.
struct GroundFlux {
    double flow = 0;
    double by_upper = 0;  ///< d flow / d (thickness of the cell with the higher water table), >= 0
    double by_lower = 0;  ///< d flow / d (thickness of the other), <= 0
};

/// Darcy's law with Dupuit's assumption between two cells,
///
///     flow = ∫ from h_lower to h_upper of min(s_upper, η − floor_lower) dη,
///
/// s the saturated thickness, h = floor + s the water table. On a level floor this is (s_upper² − s_lower²)/2
/// exactly; on a steep one it is s_upper · drop, the flow of a thin layer. It never falls with s_upper nor
/// grows with s_lower, is nought from a dry cell and between equal water tables: so thicknesses stay positive
/// and level water at rest, whatever the step.
/// `upper` is the cell with the higher (or equal) water table; `fall` = its floor minus the other's.
inline GroundFlux ground_flux(double s_upper, double s_lower, double fall) {
    const double top = s_upper + fall;  // of the upper water table over the lower cell's floor
    if (fall <= 0) return {0.5 * (top - s_lower) * (top + s_lower), top, -s_lower};
    if (s_lower >= s_upper) return {s_upper * (top - s_lower), top - s_lower + s_upper, -s_upper};
    return {s_upper * fall + 0.5 * (s_upper - s_lower) * (s_upper + s_lower), fall + s_upper, -s_lower};
}

}  // namespace lielow
