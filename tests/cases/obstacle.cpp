// SPDX-License-Identifier: Apache-2.0
// Dam break against an obstacle across the channel, symmetric about the channel's axis: the flow must be
// symmetric to the last bit, on an odd and an even number of rows.
#include "tests/cases/channel.hpp"

namespace lielow::cases {
namespace {

constexpr double length = 40.0;

/// A mound that stands out of the water, and two wings to the walls that it overtops.
double ground(double x, double y) {
    const double mound = 1.6 * std::exp(-((x - 24) * (x - 24) + y * y) / 4.0);
    const double wings = 0.4 * std::exp(-(x - 28) * (x - 28) / 2.0) * (0.2 + y * y / 25.0);
    return mound + wings;
}

struct Mirror {
    double depth = 0;
    double speed = 0;
    double crossing = 0;  ///< largest speed across, to show that it isn't a flow along x only
};

template <class Real>
Mirror difference(const StackSolver<Real>& s) {
    Mirror m;
    const int rows = s.grid().rows;
    const auto apart = [](Real a, Real b) {
        return std::abs(static_cast<double>(a) - static_cast<double>(b));
    };
    for (int j = 0; j < rows; ++j) {
        const int k = rows - 1 - j;
        for (int i = 0; i < s.grid().cols; ++i) {
            m.depth = std::max(m.depth, apart(s.thickness(0, j, i), s.thickness(0, k, i)));
            m.speed = std::max(m.speed, apart(s.velocity_x(0, j, i), s.velocity_x(0, k, i)));
            m.speed = std::max(m.speed, apart(s.velocity_y(0, j, i), -s.velocity_y(0, rows - j, i)));
            m.crossing = std::max(m.crossing, std::abs(static_cast<double>(s.velocity_y(0, j, i))));
        }
    }
    return m;
}

template <class Real>
StackSolver<Real> flow(SchemeOrder order, int rows, int cols) {
    const Grid grid{rows, cols, length / cols, 10.0 / rows};
    Field<double> z(rows, cols);
    for (int j = 0; j < rows; ++j) {
        // From the axis outward, so that the two halves are the same to the bit.
        const double y = std::abs(2 * j + 1 - rows) * 0.5 * grid.dy;
        for (int i = 0; i < cols; ++i) z(j, i) = ground((i + 0.5) * grid.dx, y);
    }
    StackParameters p = one_sheet(order);
    p.drag_law = DragLaw::manning;
    p.drag_coefficient = 0.02;
    p.edges.east = EdgeKind::open;
    StackSolver<Real> s(grid, z, p);
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i * grid.dx < 15; ++i) s.set_thickness(0, j, i, Real(2));
    }
    s.run_until(8.0);
    return s;
}

/// Thickness down the column behind the mound, against its mirror image.
void add_profile(Outcome& out, const StackSolver<double>& s) {
    const int rows = s.grid().rows;
    const int col = static_cast<int>(24.0 / s.grid().dx);
    out.profile = {"y, m", "depth across the mound, m", {}, {}, {}, {}};
    for (int j = 0; j < rows; ++j) {
        out.profile.x.push_back((j + 0.5) * s.grid().dy - 5);
        out.profile.computed.push_back(s.thickness(0, j, col));
        out.profile.exact.push_back(s.thickness(0, rows - 1 - j, col));
    }
}

Outcome run(SchemeOrder order, int cols) {
    Outcome out;
    for (const int rows : {cols / 4, cols / 4 + 1}) {
        const auto fine = flow<double>(order, rows, cols);
        const Mirror d = difference(fine);
        const Mirror f = difference(flow<float>(order, rows, cols));
        out.error = std::max({out.error, d.depth, d.speed, f.depth, f.speed});
        out.checks.push_back(
            {"what is missing to a speed across of 0.5 m/s", std::max(0.0, 0.5 - d.crossing), 0.0});
        add_profile(out, fine);
    }
    return out;
}

}  // namespace

FlowCases obstacle_cases() {
    return {{"dam_break_obstacle",
             "dam break against an obstacle, mirrored",
             "exact by symmetry",
             "largest difference from the mirror image, m and m/s",
             {40, 80, 160},
             {0.0, {}},
             {0.0, {}},
             run}};
}

}  // namespace lielow::cases
