// SPDX-License-Identifier: Apache-2.0
// A thin sheet of cold air on a uniform slope with quadratic drag.
//  - Let go from rest, uniform, it obeys du/dt = b s − Cd u²/h: u = U tanh(b s t/U), U = √(b h s/Cd), the
//  balance of
//    Chezy. Below Fr = 2 (s < 4 Cd) that flow is stable against roll waves (Jeffreys 1925).
//  - On a plane that falls across the grid's axes it runs down the steepest slope S with √(b h S/Cd), in
//  Manning's law
//    h^(2/3) √S/n, however thin it is.
//  - Its front on dry ground travels with U unchanged in shape. With u = U everywhere the momentum equation
//  leaves
//    dh/dx = s (1 − H/h), so h + H ln(1 − h/H) = s (x − x_tip): the steady front of a drag-controlled layer
//    (derived here; the monoclinal wave of Lighthill & Whitham 1955, Proc. R. Soc. A 229:281-316, on a dry
//    bed).
#include "tests/cases/channel.hpp"

namespace lielow::cases {
namespace {

constexpr double buoyancy = 0.1;
constexpr double thick = 5.0;
constexpr double slope = 0.03;
constexpr double drag = 0.03;

StackParameters air(SchemeOrder order) {
    StackParameters p = one_sheet(order, buoyancy);
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = drag;
    p.edges = {EdgeKind::inflow, EdgeKind::open, EdgeKind::wall, EdgeKind::wall};
    return p;
}

double chezy_speed() {
    return std::sqrt(buoyancy * thick * slope / drag);
}

/// Middle kilometre of five, out of reach of both ends. Equal steps, so that the time of the velocities is
/// known: half a step ahead of the thicknesses' in the second-order scheme.
Outcome let_go(SchemeOrder order, int cells) {
    const double length = 5000.0;
    const double dt = 0.4 * length / cells / (2 * chezy_speed());
    StackParameters p = air(order);
    p.longest_step = dt;
    Channel c(
        length, cells, [](double x) { return -slope * x; }, p);
    c.fill([](double) { return thick; });
    const double top = chezy_speed();
    c.flow().set_inflow(Side::west, thick * top, thick);
    const double ahead = order == SchemeOrder::first ? 0.0 : 0.5 * dt;
    Outcome out{0, {}, {"time, s", "speed, m/s", {}, {}, {}, {}}};
    const int middle = c.cell_at(3000.0);
    while (c.flow().time() < 1200) {
        c.flow().step(dt);
        const double exact = top * std::tanh(buoyancy * slope * (c.flow().time() + ahead) / top);
        out.profile.x.push_back(c.flow().time() + ahead);
        out.profile.computed.push_back(c.speed(middle));
        out.profile.exact.push_back(exact);
        out.error = std::max(out.error, std::abs(c.speed(middle) - exact) / top);
    }
    out.checks.push_back({"speed after 1200 s, relative to √(b h s/Cd)", c.speed(middle) / top - 1, 0.001});
    return out;
}

/// A film of `depth` on a plane that falls 3 : 4 across the axes; in the middle, out of reach of the edges.
Outcome diagonal(SchemeOrder order, int cells) {
    constexpr double depth = 1e-3;
    constexpr double roughness = 0.015;
    const Grid grid{cells, cells, 400.0 / cells, 400.0 / cells};
    Field<double> z(cells, cells);
    for (int j = 0; j < cells; ++j) {
        for (int i = 0; i < cells; ++i) z(j, i) = -0.03 * (i + 0.5) * grid.dx - 0.04 * (j + 0.5) * grid.dy;
    }
    StackParameters p = one_sheet(order);
    p.drag_law = DragLaw::manning;
    p.drag_coefficient = roughness;
    p.edges = {EdgeKind::wall, EdgeKind::open, EdgeKind::wall, EdgeKind::open};
    StackSolver<double> s(grid, z, p);
    for (int j = 0; j < cells; ++j) {
        for (int i = 0; i < cells; ++i) s.set_thickness(0, j, i, depth);
    }
    const double speed = std::pow(depth, 2.0 / 3) * std::sqrt(0.05) / roughness;
    Outcome out{0, {}, {"time, s", "speed along x, m/s", {}, {}, {}, {}}};
    for (double t = 20; t <= 400; t += 20) {
        s.run_until(t);
        out.profile.x.push_back(t);
        out.profile.computed.push_back(s.velocity_x(0, cells / 2, cells / 2));
        out.profile.exact.push_back(0.6 * speed);
    }
    out.error = std::max(std::abs(s.velocity_x(0, cells / 2, cells / 2) / (0.6 * speed) - 1),
                         std::abs(s.velocity_y(0, cells / 2, cells / 2) / (0.8 * speed) - 1));
    return out;
}

/// Thickness `behind` m behind the tip: h + H ln(1 − h/H) = −s behind.
double front_thickness(double behind) {
    if (behind <= 0) return 0;
    double low = 0;
    double high = thick;
    for (int n = 0; n < 200; ++n) {
        const double h = 0.5 * (low + high);
        (h + thick * std::log1p(-h / thick) > -slope * behind ? low : high) = h;
    }
    return 0.5 * (low + high);
}

Outcome front(SchemeOrder order, int cells) {
    constexpr double start = 800.0;
    constexpr double time = 1000.0;
    Channel c(
        2000.0, cells, [](double x) { return -slope * x; }, air(order));
    const double speed = chezy_speed();
    c.fill([](double x) { return front_thickness(start - x); });
    for (int f = 0; f <= cells; ++f) {
        if (f * c.cell() < start) c.flow().set_velocity_x(0, 0, f, speed);
    }
    c.let_in(thick * speed, thick);
    c.flow().run_until(time);
    const double tip = start + speed * time;
    const auto exact = [&](double x) { return front_thickness(tip - x); };
    Outcome out{c.depth_error(exact), {}, c.profile(exact)};
    out.profile.quantity = "thickness, m";
    int last = cells - 1;
    while (c.depth(last) < 0.1 * thick) --last;
    // Where the exact front is a tenth of H thick.
    const double tenth = tip + (0.1 + std::log1p(-0.1)) * thick / slope;
    out.checks.push_back(
        {"way of the front in 1000 s, relative", (c.x(last) - tenth) / (speed * time), 0.02});
    return out;
}

}  // namespace

FlowCases incline_cases() {
    const std::vector<int> grids{50, 100, 200, 400};
    return {
        {"incline_speed",
         "thin sheet let go on a slope",
         "balance of Chezy; U tanh(b s t/U), derived in the case",
         "speed, largest departure relative to U",
         grids,
         {0.02, 0.8},
         {0.01, 0.8},
         let_go},
        {"incline_diagonal",
         "thin film on a plane that falls across the axes",
         "Manning's law",
         "components of the speed, largest departure relative",
         {20, 40, 80},
         {0.01, {}},
         {0.01, {}},
         diagonal},
        {"incline_front",
         "front of a drag-controlled sheet down a slope",
         "steady wave on a dry bed, derived in the case after Lighthill & Whitham 1955",
         "thickness, L1 relative",
         grids,
         {0.02, 0.7},
         {0.005, 0.9, "order 0.8 at the sheet's blunt tip; the error is as asked"},
         front},
    };
}

}  // namespace lielow::cases
