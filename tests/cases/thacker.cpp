// SPDX-License-Identifier: Apache-2.0
// Oscillations in parabolic bowls with a moving shore: Thacker 1981, J. Fluid Mech. 107:499-508.
#include <numbers>

#include "tests/cases/channel.hpp"
#include "tests/support/shallow_water_exact.hpp"

namespace lielow::cases {
namespace {

constexpr double side = 4.0;
constexpr const char* source = "Thacker 1981; Delestre et al. 2013, 4.2";

void add_volume(Outcome& out, double before, double after) {
    out.checks.push_back({"change of volume, relative", after / before - 1, 1e-12});
}

Outcome line(SchemeOrder order, int cells) {
    const exact::ThackerLine bowl;
    Channel c(
        side, cells, [&](double x) { return bowl.bed(x - 2); }, one_sheet(order));
    c.fill([&](double x) { return bowl.depth(x - 2, 0); });
    const double before = c.flow().budget().volume;
    c.flow().run_until(bowl.period());
    const auto depth = [&](double x) { return bowl.depth(x - 2, bowl.period()); };
    Outcome out{c.depth_error(depth), {}, c.profile(depth, true)};
    add_volume(out, before, c.flow().budget().volume);
    return out;
}

/// A square bowl about its middle, with the middle row as profile.
class Bowl {
  public:
    template <class Exact>
    Bowl(SchemeOrder order, int n, const Exact& bowl)
        : grid_{n, n, side / n, side / n}, solver_(grid_, bed(bowl), one_sheet(order)) {
        for (int j = 0; j < n; ++j) {
            for (int i = 0; i < n; ++i)
                solver_.set_thickness(0, j, i, bowl.depth(at(i + 0.5), at(j + 0.5), 0));
        }
    }
    StackSolver<double>& solver() { return solver_; }
    [[nodiscard]] double at(double index) const { return index * grid_.dx - side / 2; }

    template <class Exact>
    Outcome run(const Exact& bowl, double time) {
        const double before = solver_.budget().volume;
        solver_.run_until(time);
        Outcome out{0, {}, {"x, m", "depth in the middle row, m", {}, {}, {}, {}}};
        double total = 0;
        for (int j = 0; j < grid_.rows; ++j) {
            for (int i = 0; i < grid_.cols; ++i) {
                const double h = bowl.depth(at(i + 0.5), at(j + 0.5), time);
                out.error += std::abs(solver_.thickness(0, j, i) - h);
                total += h;
                if (j != grid_.rows / 2) continue;
                out.profile.x.push_back(at(i + 0.5));
                out.profile.computed.push_back(solver_.thickness(0, j, i));
                out.profile.exact.push_back(h);
            }
        }
        out.error /= total;
        add_volume(out, before, solver_.budget().volume);
        return out;
    }

  private:
    template <class Exact>
    [[nodiscard]] Field<double> bed(const Exact& bowl) const {
        Field<double> z(grid_.rows, grid_.cols);
        for (int j = 0; j < grid_.rows; ++j) {
            for (int i = 0; i < grid_.cols; ++i) z(j, i) = bowl.bed(at(i + 0.5), at(j + 0.5));
        }
        return z;
    }
    Grid grid_;
    StackSolver<double> solver_;
};

struct Radial : exact::ThackerRadial {
    [[nodiscard]] double bed(double x, double y) const { return exact::ThackerRadial::bed(std::hypot(x, y)); }
    [[nodiscard]] double depth(double x, double y, double t) const {
        return exact::ThackerRadial::depth(std::hypot(x, y), t);
    }
};

Outcome radial(SchemeOrder order, int n) {
    const Radial bowl;
    Bowl b(order, n, bowl);
    Outcome out = b.run(bowl, 0.5 * bowl.period());
    // h0 (√(1−A²)/(1+A)) = 0.08 m in the middle after half a period.
    const double middle =
        0.25 * ((b.solver().thickness(0, n / 2, n / 2) + b.solver().thickness(0, n / 2 - 1, n / 2)) +
                (b.solver().thickness(0, n / 2, n / 2 - 1) + b.solver().thickness(0, n / 2 - 1, n / 2 - 1)));
    out.checks.push_back({"depth in the middle, relative to 0.08 m", middle / 0.08 - 1, 0.02});
    return out;
}

Outcome planar(SchemeOrder order, int n) {
    const exact::ThackerPlanar bowl;
    Bowl b(order, n, bowl);
    for (int j = 0; j <= n; ++j) {
        for (int i = 0; i < n; ++i) {
            if (bowl.depth(b.at(i + 0.5), b.at(j), 0) > 0)
                b.solver().set_velocity_y(0, j, i, bowl.speed_y(0));
        }
    }
    return b.run(bowl, bowl.period());
}

/// What the bowls fall short of in second order, measured on every grid.
constexpr const char* shore =
    "the moving shore holds the second order down to one: error and order fall short of what is asked";

}  // namespace

FlowCases thacker_cases() {
    const std::string l1 = "depth, L1 relative";
    return {
        {"thacker_line",
         "planar surface in a parabola, one period",
         source,
         l1,
         {100, 200, 400, 800},
         {0.02, 0.8},
         {0.003, 1.3, shore},
         line},
        {"thacker_radial",
         "radial oscillation in a paraboloid, half a period",
         source,
         l1,
         {25, 50, 100, 200},
         {0.02, 0.8, "order 0.7 on these grids, from the moving shore; the error is as asked"},
         {0.004, 1.3, shore},
         radial},
        {"thacker_planar",
         "planar surface going round in a paraboloid, one period",
         source,
         l1,
         {16, 32, 64, 128},
         {0.08, 0.7},
         {0.01, 1.3, shore},
         planar},
    };
}

}  // namespace lielow::cases
