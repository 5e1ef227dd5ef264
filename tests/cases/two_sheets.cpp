// SPDX-License-Identifier: Apache-2.0
// A smooth flow of two sheets over uneven ground in a walled box, waves of a tenth of the thickness and more,
// against a finer solution by another method (tests/support/smooth_stack.hpp).
#include <memory>
#include <numbers>
#include <optional>

#include "tests/cases/channel.hpp"
#include "tests/support/smooth_stack.hpp"

namespace lielow::cases {
namespace {

constexpr double length = 1000.0;
constexpr double b1 = 0.035;
constexpr double b2 = 0.075;
/// Less than the time in which the waves would steepen to fronts.
constexpr double time = 700.0;

/// Smooth, and with no slope at the walls, as the mirrored fields of the reference need.
double wave(double x, int halves) {
    return std::cos(halves * std::numbers::pi * x / length);
}

struct Flow {
    bool plane = false;  ///< varies along y too
    [[nodiscard]] double bed(double x, double y) const {
        return 2 - 1.5 * wave(x, 2) + (plane ? wave(x, 1) * wave(y, 2) : 0.0);
    }
    [[nodiscard]] double lower(double x, double y) const {
        return 12 - wave(x, 1) + (plane ? 0.7 * wave(y, 1) : 0.0) - bed(x, y);
    }
    [[nodiscard]] double upper(double x, double y) const {
        return 20 + 2 * wave(x, 1) - (plane ? wave(y, 1) * wave(x, 2) : 0.0);
    }
};

SmoothStack reference(const Flow& flow, int nodes) {
    SmoothStack s(length, nodes, length, flow.plane ? nodes : 0, b1, b2);
    s.set([&](double x, double y) { return flow.bed(x, y); },
          [&](double x, double y) { return flow.upper(x, y); },
          [&](double x, double y) { return flow.lower(x, y); });
    // Courant number of about 0.5 at 1.2 m/s.
    s.run(time, static_cast<int>(1.2 * time * nodes / length / 0.5) + 1);
    return s;
}

StackSolver<double> start(const Flow& flow, SchemeOrder order, int cells) {
    const int rows = flow.plane ? cells : 1;
    const double cell = length / cells;
    const auto along_y = [&](int j) { return flow.plane ? (j + 0.5) * cell : 0.0; };
    Field<double> z(rows, cells);
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < cells; ++i) z(j, i) = flow.bed((i + 0.5) * cell, along_y(j));
    }
    StackParameters p;
    p.order = order;
    p.buoyancy = {b1, b2};
    StackSolver<double> s(Grid{rows, cells, cell, cell}, z, p);
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < cells; ++i) {
            s.set_thickness(0, j, i, flow.upper((i + 0.5) * cell, along_y(j)));
            s.set_thickness(1, j, i, flow.lower((i + 0.5) * cell, along_y(j)));
        }
    }
    return s;
}

/// Against the reference, whose nodes include the middles of cells: `nodes` is an even multiple of `cells`.
Outcome run(const Flow& flow, SchemeOrder order, int cells, const SmoothStack& exact, int nodes) {
    StackSolver<double> s = start(flow, order, cells);
    s.run_until(time);
    const int rows = s.grid().rows;
    const int apart = nodes / cells;
    Outcome out{0, {}, {"x, m", "lower sheet, m", {}, {}, {}, {}}};
    for (int j = 0; j < rows; ++j) {
        const int node_row = flow.plane ? j * apart + apart / 2 : 0;
        for (int i = 0; i < cells; ++i) {
            const int node = i * apart + apart / 2;
            for (int k = 0; k < 2; ++k)
                out.error += std::abs(s.thickness(k, j, i) - exact.thickness(k, node_row, node));
            if (j != rows / 2) continue;
            out.profile.x.push_back((i + 0.5) * length / cells);
            out.profile.computed.push_back(s.thickness(1, j, i));
            out.profile.exact.push_back(exact.thickness(1, node_row, node));
        }
    }
    // Relative to waves of about 1 m in each sheet.
    out.error /= 2.0 * rows * cells;
    return out;
}

double reference_error(const SmoothStack& fine, const SmoothStack& coarse, int coarse_nodes, bool plane) {
    double worst = 0;
    for (int j = 0; j <= (plane ? coarse_nodes : 0); ++j) {
        for (int i = 0; i <= coarse_nodes; ++i) {
            worst = std::max(worst, std::abs(fine.thickness(1, 2 * j, 2 * i) - coarse.thickness(1, j, i)));
        }
    }
    return worst;
}

/// Solved once for all grids and schemes.
struct Reference {
    std::optional<SmoothStack> flow;
    double doubt = 0;
    void solve(const Flow& of, int nodes) {
        flow = reference(of, nodes);
        doubt = reference_error(*flow, reference(of, nodes / 2), nodes / 2, of.plane);
    }
};

FlowCase smooth_case(const Flow& flow, const std::string& name, const std::string& title, int nodes,
                     const std::vector<int>& grids) {
    return {name,
            title,
            "finer solution by another method, sixth order",
            "thickness, mean departure, m",
            grids,
            {0.1, 0.8},
            {0.01, 1.8},
            [flow, nodes, known = std::make_shared<Reference>()](SchemeOrder order, int cells) {
                if (!known->flow) known->solve(flow, nodes);
                Outcome out = run(flow, order, cells, *known->flow, nodes);
                out.checks.push_back({"the reference on half its nodes, m", known->doubt, 1e-4});
                return out;
            }};
}

}  // namespace

FlowCases two_sheet_cases() {
    return {smooth_case({false}, "two_sheets_channel", "two sheets over uneven ground, channel", 400,
                        {25, 50, 100, 200}),
            smooth_case({true}, "two_sheets_box", "two sheets over uneven ground, square box", 96,
                        {12, 16, 24, 48})};
}

}  // namespace lielow::cases
