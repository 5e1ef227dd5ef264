// SPDX-License-Identifier: Apache-2.0
// How much memory traffic a step of the stack can't do without, and how much memory a stack holds: what
// `lielow bench` holds the solver's speed against.
//
// Counted in words (one Real each) as if every row were fetched once a sweep: the few rows a sweep works on
// stay in cache, everything else comes from memory. A written word counts twice, because a cache line must be
// fetched before it can be written to (write-allocate). The triad is counted the same way, so the two
// compare.
#pragma once

namespace lielow {

struct StackTraffic {
    double flow = 0;         ///< words a cell-sheet step, whatever the stack is of
    double exchange = 0;     ///< words more where columns exchange heat
    double planes = 0;       ///< words a cell step, shared by the sheets: bed steps, loss, ground drag
    double arrays = 0;       ///< words held a cell and sheet
    double held_planes = 0;  ///< words held a cell
};

/// First order.
///   thickness sweep: reads h, u, v (3); writes h_new, qx, qy (3 × 2); exchange writes rise (2).
///                    Planes: loss (1).
///   velocity sweep:  reads h_new, qx, qy, u, v (5); writes u_new, v_new (2 × 2); exchange reads rise (1).
///                    Planes: bed_step_x, bed_step_y, ground_drag (3).
/// Held: h, h_new, u, u_new, v, v_new, qx, qy and rise; bed_step_x, bed_step_y, loss, ground_drag.
inline constexpr StackTraffic first_order_traffic{
    .flow = 18, .exchange = 3, .planes = 4, .arrays = 9, .held_planes = 4};

/// Second order, stage by stage.
///   half step:   reads h, u, v (3); writes h_half (2).
///   fluxes:      reads h_half, u, v (3); writes qx, qy (2 × 2).
///   payable:     reads h, qx, qy (3); writes h_half (2).
///   update:      reads h, h_half, qx, qy, u, v (6); writes h_new (2); changes u_star, v_star in place
///                (2 × 2); exchange writes rise (2). Planes: loss (1).
///   star fluxes: reads h_new, u_star, v_star (3); writes qx, qy (2 × 2).
///   velocity:    reads h_new, qx, qy, u, v, u_star, v_star (7); writes u_new, v_new (2 × 2); exchange
///                reads rise (1). Planes: bed_step_x, bed_step_y, ground_drag (3).
/// Held: as above and h_half, u_star, v_star.
inline constexpr StackTraffic second_order_traffic{
    .flow = 47, .exchange = 3, .planes = 4, .arrays = 12, .held_planes = 4};

/// Words a cell-sheet step of a night must move.
constexpr double night_words_per_step(const StackTraffic& traffic, int sheets) {
    return traffic.flow + traffic.exchange + traffic.planes / sheets;
}

}  // namespace lielow
