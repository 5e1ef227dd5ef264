// SPDX-License-Identifier: Apache-2.0
// Dam breaks on a flat bed: Ritter 1892 (dry), Stoker 1957 (wet), Dressler 1952 (dry, with friction), data of
// Delestre et al. 2013, Int. J. Numer. Meth. Fluids 72:269-300, section 4.1.
#include <algorithm>

#include "tests/cases/channel.hpp"
#include "tests/support/shallow_water_exact.hpp"

namespace lielow::cases {
namespace {

constexpr double length = 10.0;
constexpr double dam = 5.0;
constexpr double time = 6.0;
constexpr double upper = 0.005;
constexpr double lower = 0.001;

Channel broken_dam(SchemeOrder order, int cells, double h_right) {
    Channel c(
        length, cells, [](double) { return 0.0; }, one_sheet(order));
    c.fill([&](double x) { return x < dam ? upper : h_right; });
    c.flow().run_until(time);
    return c;
}

Outcome ritter(SchemeOrder order, int cells) {
    const Channel c = broken_dam(order, cells, 0.0);
    const auto depth = [](double x) { return exact::ritter(gravity, upper, x - dam, time).h; };
    Outcome out{c.depth_error(depth), {}, c.profile(depth)};
    // At the dam h = 4/9 h0 and u = 2/3 √(g h0) at all times.
    const int face = cells / 2;
    const double limit = order == SchemeOrder::first ? 0.02 : 0.005;
    out.checks.push_back({"depth at the dam, relative", c.depth_at_face(face) / 0.00222222 - 1, limit});
    out.checks.push_back({"speed at the dam, relative", c.speed(face) / 0.1476482 - 1, limit});
    return out;
}

Outcome stoker(SchemeOrder order, int cells) {
    const Channel c = broken_dam(order, cells, lower);
    const auto depth = [](double x) { return exact::stoker(gravity, upper, lower, x - dam, time).h; };
    Outcome out{c.depth_error(depth), {}, c.profile(depth)};
    // The plateau and the bore by the conditions of Rankine and Hugoniot: 2.539357e-3 m, 0.1272797
    // m/s, 6.259780 m.
    const int middle = c.cell_at(5.6);
    out.checks.push_back({"depth of the plateau, relative", c.depth(middle) / 0.002539357 - 1, 0.002});
    out.checks.push_back({"speed of the plateau, relative", c.speed(middle) / 0.1272797 - 1, 0.002});
    int front = cells - 1;
    while (c.depth(front) < 0.5 * (lower + 0.002539357)) --front;
    out.checks.push_back({"place of the bore, cells", (c.x(front) - 6.259780) / c.cell(), 2.0});
    return out;
}

/// First order in 1/C² (Dressler 1952, J. Res. Natl. Bur. Stand. 49:217-225). Void past the greatest speed,
/// at x = 1084.5 m after 40 s.
exact::Flow dressler(double x, double t) {
    constexpr double chezy = 40.0;
    const double c = std::sqrt(gravity * 6.0);
    if (x <= -c * t) return {6.0, 0.0};
    const double s = 2 - x / (t * c);
    const double root = std::sqrt(3.0) * s * std::sqrt(s);
    const double a1 = 6 / (5 * s) - 2.0 / 3 + 4 * root / 135;
    const double a2 = 12 / s - 8.0 / 3 + 8 * root / 189 - 108 / (7 * s * s);
    const double factor = gravity * gravity / (chezy * chezy) * t;
    const double depth_root = 2.0 / 3 * c - x / (3 * t) + factor * a1;
    return {depth_root * depth_root / gravity, 2.0 / 3 * c + 2 * x / (3 * t) + factor * a2};
}

constexpr double place = 1000.0;
constexpr double valid_to = 1084.0;

Outcome dressler_case(SchemeOrder order, int cells) {
    StackParameters p = one_sheet(order);
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = gravity / (40.0 * 40.0);
    Channel c(
        2000.0, cells, [](double) { return 0.0; }, p);
    c.fill([](double x) { return x < place ? 6.0 : 0.0; });
    c.flow().run_until(40.0);
    const auto depth = [](double x) { return dressler(std::min(x, valid_to) - place, 40.0).h; };
    Outcome out{c.depth_error(depth, 0.0, valid_to), {}, c.profile(depth)};
    const int face = cells / 2;
    out.checks.push_back(
        {"depth at the dam, relative to 2.8672 m", c.depth_at_face(face) / 2.8672 - 1, 0.03});
    out.checks.push_back({"speed at the dam, relative to 4.3533 m/s", c.speed(face) / 4.3533 - 1, 0.03});
    return out;
}

}  // namespace

FlowCases dam_break_cases() {
    const std::vector<int> grids{100, 200, 400, 800};
    const std::string l1 = "depth, L1 relative";
    return {
        {"dam_break_wet",
         "dam break onto water",
         "Stoker 1957; Delestre et al. 2013, 4.1",
         l1,
         grids,
         {0.005, 0.65},
         {0.002, 0.8},
         stoker},
        {"dam_break_dry",
         "dam break onto dry ground",
         "Ritter 1892; Delestre et al. 2013, 4.1",
         l1,
         grids,
         {0.01, 0.55},
         {0.003, 0.8},
         ritter},
        {"dam_break_friction",
         "dam break with friction, C 40 m^½/s, behind the tip",
         "Dressler 1952; Delestre et al. 2013, 4.1",
         l1,
         grids,
         {0.02, {}},
         {0.02, {}},
         dressler_case},
    };
}

}  // namespace lielow::cases
