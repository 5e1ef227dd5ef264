// SPDX-License-Identifier: Apache-2.0
// Channels whose bed is made for a given steady depth: MacDonald, Baines, Nichols & Samuels 1997, J. Hydraul.
// Eng. 123:1041-1045, with the rain of Delestre et al. 2013, Int. J. Numer. Meth. Fluids 72:269-300,
// section 3.2. The steady momentum equation gives the bed,
//     dz/dx = (q²/(g h³) − 1) dh/dx − 2 q R/(g h²) − S_f,  q = q0 + R x,
// with S_f = n² q²/h^(10/3) (Manning) or f q²/(8 g h³) (Darcy-Weisbach). Everything starts dry.
#include <string>

#include "sim/stack_edges.hpp"
#include "tests/cases/channel.hpp"

namespace lielow::cases {
namespace {

constexpr const char* source = "MacDonald et al. 1997; Delestre et al. 2013, 3.2";
/// Critical depth of 2 m²/s, m.
const double k = std::cbrt(4.0 / gravity);

struct Made {
    double length = 1000.0;
    Curve depth;
    double jump = 1e30;  ///< place of the hydraulic jump, m
    double discharge = 2.0;
    double rain = 0.0;  ///< m/s
    DragLaw law = DragLaw::manning;
    double coefficient = 0.033;
    bool supercritical_in = false;
    bool supercritical_out = false;
};

double friction_slope(const Made& m, double q, double h) {
    if (m.law == DragLaw::manning) return m.coefficient * m.coefficient * q * q / std::pow(h, 10.0 / 3.0);
    return m.coefficient * q * q / (8 * gravity * h * h * h);
}

double bed_slope(const Made& m, double x) {
    constexpr double e = 1e-4;
    const double h = m.depth(x);
    const double dh = (m.depth(x + e) - m.depth(x - e)) / (2 * e);
    const double q = m.discharge + m.rain * x;
    return (q * q / (gravity * h * h * h) - 1) * dh - 2 * q * m.rain / (gravity * h * h) -
           friction_slope(m, q, h);
}

/// Rise of the bed over a half cell by Gauss's rule, which never touches the ends: a jump has to lie on one.
double bed_rise(const Made& m, double from, double to) {
    constexpr int pieces = 10;
    const double piece = (to - from) / pieces;
    const double reach = 0.5 * piece * std::sqrt(0.6);
    double rise = 0;
    for (int n = 0; n < pieces; ++n) {
        const double x = from + (n + 0.5) * piece;
        const double ends = bed_slope(m, x - reach) + bed_slope(m, x + reach);
        rise += piece / 18 * (5 * ends + 8 * bed_slope(m, x));
    }
    return rise;
}

/// Elevation at the middles of `cells` cells, z = 0 at the lower end.
std::vector<double> made_bed(const Made& m, int cells) {
    const double cell = m.length / cells;
    std::vector<double> z(static_cast<std::size_t>(cells));
    double level = 0;
    for (int i = cells - 1; i >= 0; --i) {
        const double middle = (i + 0.5) * cell;
        level -= bed_rise(m, middle, (i + 1) * cell);
        z[static_cast<std::size_t>(i)] = level;
        level -= bed_rise(m, i * cell, middle);
    }
    return z;
}

Channel made_channel(const Made& m, SchemeOrder order, int cells) {
    const std::vector<double> z = made_bed(m, cells);
    StackParameters p = one_sheet(order);
    p.drag_law = m.law;
    p.drag_coefficient = m.coefficient;
    p.edges.west = EdgeKind::inflow;
    p.edges.east = m.supercritical_out ? EdgeKind::open : EdgeKind::far_field;
    Channel c(
        m.length, cells, [&](double x) { return z[static_cast<std::size_t>(x / m.length * cells)]; }, p);
    // What lies outside is given half a cell beyond the ends.
    const double out = m.length + 0.5 * c.cell();
    const double level = m.depth(out) + bed_rise(m, m.length, out);
    if (!m.supercritical_out) c.flow().set_far_field(std::array{level}, 0.0, 1.0);
    c.let_in(m.discharge, m.supercritical_in ? m.depth(-0.5 * c.cell()) : 0.0);
    return c;
}

Outcome run(const Made& m, SchemeOrder order, int cells) {
    Channel c = made_channel(m, order, cells);
    const double settle = m.length < 1000 ? 800.0 : 2000.0;
    c.flow().run_until(settle);
    if (m.rain > 0) {
        c.flow().set_source(Field<float>(1, cells, static_cast<float>(m.rain)));
        c.flow().run_until(2 * settle);
    }
    Outcome out{c.depth_error(m.depth), {}, c.profile(m.depth, true)};
    const auto discharge = [&](double x) { return m.discharge + m.rain * x; };
    const bool first = order == SchemeOrder::first;
    const double away = m.jump < m.length ? 3 * c.cell() : 0.0;
    out.checks.push_back({"discharge along the channel, relative",
                          c.discharge_departure(discharge, m.jump, away), first ? 1e-3 : 0.02});
    const double before = c.flow().budget().volume_in;
    const double t = c.flow().time();
    c.flow().run_until(t + 10);
    const double rained = m.rain * m.length * 10;
    out.checks.push_back({"inflow and rain less outflow, relative",
                          (c.flow().budget().volume_in - before + rained) / (10 * discharge(m.length)),
                          1e-3});
    return out;
}

double bulge(double x, double height, double width) {
    const double s = x / 1000 - 0.5;
    return 1 + height * std::exp(-width * s * s);
}

Made subcritical(DragLaw law) {
    Made m;
    m.depth = [](double x) { return k * bulge(x, 0.5, 16); };
    m.law = law;
    m.coefficient = law == DragLaw::manning ? 0.033 : 0.093;
    return m;
}

Made supercritical(DragLaw law) {
    Made m;
    m.discharge = 2.5;
    m.depth = [](double x) { return k * bulge(x, -0.2, 36); };
    m.law = law;
    m.coefficient = law == DragLaw::manning ? 0.04 : 0.065;
    m.supercritical_in = m.supercritical_out = true;
    return m;
}

Made raining(Made m) {
    m.rain = 0.001;
    if (!m.supercritical_in) m.discharge = 1.0;
    return m;
}

Made to_supercritical(DragLaw law) {
    Made m;
    m.depth = [](double x) {
        const double s = x / 1000 - 0.5;
        return s <= 0 ? k * (1 - std::tanh(3 * s) / 3) : k * (1 - std::tanh(6 * s) / 6);
    };
    m.law = law;
    m.coefficient = law == DragLaw::manning ? 0.0218 : 0.042;
    m.supercritical_out = true;
    return m;
}

Made to_subcritical(DragLaw law) {
    Made m;
    m.jump = 500.0;
    m.depth = [](double x) {
        if (x <= 500) return k * (0.9 - std::exp(-x / 250) / 6);
        const double s = x / 1000 - 0.5;
        const double sum =
            -0.348427 * std::exp(-20 * s) + 0.552264 * std::exp(-40 * s) - 0.55558 * std::exp(-60 * s);
        return k * (1 + sum + 0.8 * std::exp(x / 1000 - 1));
    };
    m.law = law;
    m.coefficient = law == DragLaw::manning ? 0.0218 : 0.0425;
    m.supercritical_in = true;
    return m;
}

Made short_channel() {
    Made m;
    m.length = 100.0;
    m.jump = 200.0 / 3;
    m.depth = [](double x) {
        const double y = x / 100 - 2.0 / 3;
        if (x <= 200.0 / 3) return k * (4.0 / 3 - x / 100 - 9 * x / 1000 * y);
        return k * ((((0.674202 * y + 0.674202) * y - 21.7112) * y + 14.492) * y + 1.4305);
    };
    m.coefficient = 0.0328;
    return m;
}

FlowCase made(const std::string& name, const std::string& title, const Made& m, const Expected& first,
              const Expected& second) {
    // A jump has to lie on a face.
    const std::vector<int> grids =
        m.length < 1000 ? std::vector{60, 120, 240, 480} : std::vector{50, 100, 200, 400};
    return {name,  title, source, "depth, L1 relative",
            grids, first, second, [m](SchemeOrder order, int cells) { return run(m, order, cells); }};
}

}  // namespace

FlowCases macdonald_cases() {
    const Expected smooth{0.01, 0.8};
    const Expected jump{0.02, 0.7};
    const Expected smooth2{0.0005, 1.8};
    const Expected smooth_by_halves2{0.0005, 1.5};  // the depth's curvature jumps in the middle
    const Expected jump2{0.01, 0.8};
    FlowCases cases;
    for (const DragLaw law : {DragLaw::manning, DragLaw::darcy_weisbach}) {
        const bool n = law == DragLaw::manning;
        const std::string tail = n ? "_manning" : "_darcy";
        const std::string by = n ? ", Manning" : ", Darcy-Weisbach";
        cases.push_back(
            made("channel_sub" + tail, "made channel, subcritical" + by, subcritical(law), smooth, smooth2));
        cases.push_back(made("channel_super" + tail, "made channel, supercritical" + by, supercritical(law),
                             smooth, smooth2));
        cases.push_back(made("channel_sub_super" + tail, "made channel, sub- to supercritical" + by,
                             to_supercritical(law), smooth, smooth_by_halves2));
        cases.push_back(made("channel_super_sub" + tail,
                             "made channel, super- to subcritical with a jump" + by, to_subcritical(law),
                             jump, jump2));
        cases.push_back(made("channel_rain_sub" + tail, "made channel with rain, subcritical" + by,
                             raining(subcritical(law)), smooth, smooth2));
        cases.push_back(made("channel_rain_super" + tail, "made channel with rain, supercritical" + by,
                             raining(supercritical(law)), smooth, smooth2));
    }
    cases.push_back(made("channel_short", "made channel of 100 m, sub- to super- to subcritical, Manning",
                         short_channel(), jump, jump2));
    return cases;
}

}  // namespace lielow::cases
