// SPDX-License-Identifier: Apache-2.0
// A channel one cell wide, for the one-dimensional cases.
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>

#include "sim/stack_solver.hpp"
#include "tests/cases/flow_case.hpp"

namespace lielow::cases {

using Curve = std::function<double(double)>;

constexpr double gravity = 9.81;

/// One sheet of water, or of heavy air if another `buoyancy` is given.
inline StackParameters one_sheet(SchemeOrder order, double buoyancy = gravity) {
    StackParameters p;
    p.order = order;
    p.buoyancy = {buoyancy};
    return p;
}

/// x from 0 to `length`; values of curves are taken at the middles of cells.
class Channel {
  public:
    Channel(double length, int cells, const Curve& bed, const StackParameters& parameters)
        : grid_{1, cells, length / cells, 1.0},
          order_(parameters.order),
          bed_(1, cells),
          flow_(grid_, sample(bed), parameters) {}

    StackSolver<double>& flow() { return flow_; }
    [[nodiscard]] int cells() const { return grid_.cols; }
    [[nodiscard]] double cell() const { return grid_.dx; }
    [[nodiscard]] double x(int i) const { return (i + 0.5) * grid_.dx; }
    [[nodiscard]] double bed(int i) const { return bed_(0, i); }
    [[nodiscard]] double depth(int i) const { return flow_.thickness(0, 0, i); }
    [[nodiscard]] double speed(int face) const { return flow_.velocity_x(0, 0, face); }
    [[nodiscard]] int cell_at(double x) const {
        return std::clamp(static_cast<int>(x / grid_.dx), 0, cells() - 1);
    }
    void fill(const Curve& depth) {
        for (int i = 0; i < cells(); ++i) flow_.set_thickness(0, 0, i, std::max(0.0, depth(x(i))));
    }
    void fill_to(double level) {
        for (int i = 0; i < cells(); ++i) flow_.set_thickness(0, 0, i, std::max(0.0, level - bed(i)));
    }
    /// Discharge into the channel at x = 0, m²/s, of a depth, m, or of that inside (0), and a first step so
    /// short that it brings little: the solver's own knows only what stands inside.
    void let_in(double discharge, double depth = 0) {
        flow_.set_inflow(Side::west, discharge, depth);
        flow_.step(0.05 * cell());
    }
    /// Depth halfway between the cells of an inner face.
    [[nodiscard]] double depth_at_face(int face) const { return 0.5 * (depth(face - 1) + depth(face)); }
    /// Largest departure of the discharge from `exact` over the inner faces but those within `away` of x =
    /// `jump`, relative. The first order's flux is known: the upwind depth above the sill; else that of the
    /// mean depth.
    [[nodiscard]] double discharge_departure(const Curve& exact, double jump = 1e30, double away = 0) const {
        double worst = 0;
        for (int f = 1; f < cells(); ++f) {
            if (std::abs(f * cell() - jump) < away) continue;
            const double thick = order_ == SchemeOrder::first ? depth(f - 1) : depth_at_face(f);
            worst = std::max(worst, std::abs(speed(f) * thick / exact(f * cell()) - 1));
        }
        return worst;
    }
    /// Σ|h − exact| over Σ exact, over the cells whose middles lie in [from, to].
    [[nodiscard]] double depth_error(const Curve& exact, double from = -1e30, double to = 1e30) const {
        double error = 0;
        double total = 0;
        for (int i = 0; i < cells(); ++i) {
            if (x(i) < from || x(i) > to) continue;
            error += std::abs(depth(i) - exact(x(i)));
            total += exact(x(i));
        }
        return error / total;
    }
    /// Depths, on the ground or on its elevation.
    [[nodiscard]] Profile profile(const Curve& exact, bool on_ground = false) const {
        Profile p{"x, m", on_ground ? "surface and ground, m" : "depth, m", {}, {}, {}, {}};
        for (int i = 0; i < cells(); ++i) {
            const double base = on_ground ? bed(i) : 0.0;
            p.x.push_back(x(i));
            p.computed.push_back(base + depth(i));
            p.exact.push_back(base + exact(x(i)));
            if (on_ground) p.ground.push_back(base);
        }
        return p;
    }

  private:
    const Field<double>& sample(const Curve& bed) {
        for (int i = 0; i < cells(); ++i) bed_(0, i) = bed(x(i));
        return bed_;
    }
    Grid grid_;
    SchemeOrder order_;
    Field<double> bed_;
    StackSolver<double> flow_;
};

}  // namespace lielow::cases
