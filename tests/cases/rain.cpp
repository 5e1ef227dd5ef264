// SPDX-License-Identifier: Apache-2.0
// Rain on ground, against kinematic waves q = α h^(5/3), α = √S/n (Manning).
//  - Plane: h = i t until the characteristic from the top arrives (t_e), then q = i x; after the rain the
//  depth that
//    stood at x0 = α h^(5/3)/i leaves when L − x0 = (5/3) α h^(2/3) (t − t_r) (Woolhiser & Liggett 1967,
//    Water Resour. Res. 3:753-771; Eagleson 1970, Dynamic Hydrology, ch. 15).
//  - Tilted V: two planes of 800 m × 1000 m, n 0.015, that fall by 0.05 towards a channel, 20 m wide, n 0.15,
//  between
//    them, all falling by 0.02 along it; 10.8 mm/h for 90 min (di Giammarco, Todini & Lamberti 1996, J.
//    Hydrol. 175:267-291; data from memory). On the planes water runs down the steepest slope, over a way
//    that begins at the ridge or at the head; it leaves into the channel or over the foot of the plane. In
//    the channel dh/dt = inflow along dx/dt = (5/3) α h^(2/3).
// Where S L/(h Fr²) is far above 10 (here hundreds) kinematic waves stand for the whole equations (Woolhiser
// & Liggett).
#include <numeric>

#include "tests/cases/channel.hpp"

namespace lielow::cases {
namespace {

struct Plane {
    double length, slope, roughness, rain;  // m, -, s m^(-1/3), m/s
    double rain_ends = 1e30;                // s
    [[nodiscard]] double alpha() const { return std::sqrt(slope) / roughness; }
    [[nodiscard]] double steady_depth(double x) const { return std::pow(rain * x / alpha(), 0.6); }
    [[nodiscard]] double equilibrium() const { return steady_depth(length) / rain; }
    /// Discharge at the foot, m²/s; the rain must last beyond equilibrium.
    [[nodiscard]] double outflow(double t) const {
        if (t <= 0) return 0;
        if (t < rain_ends) return alpha() * std::pow(std::min(rain * t, steady_depth(length)), 5.0 / 3);
        double low = 0;
        double high = steady_depth(length);
        for (int n = 0; n < 100; ++n) {
            const double h = 0.5 * (low + high);
            const double way = alpha() * std::pow(h, 5.0 / 3) / rain +
                               5.0 / 3 * alpha() * std::pow(h, 2.0 / 3) * (t - rain_ends);
            (way > length ? high : low) = h;
        }
        return alpha() * std::pow(low, 5.0 / 3);
    }
};

/// Outflow through the edges over each of `count` intervals, against `exact` in the middle of each, m³/s.
template <class Exact>
Profile hydrograph(StackSolver<double>& flow, double interval, int count, double rain_ends,
                   const Exact& exact) {
    Profile p{"time, min", "outflow, m³/s", {}, {}, {}, {}};
    double before = 0;
    bool raining = true;
    for (int n = 0; n < count; ++n) {
        if (raining && n * interval >= rain_ends) {
            flow.set_source(Field<float>(flow.grid().rows, flow.grid().cols, 0.0F));
            raining = false;
        }
        flow.run_until((n + 1) * interval);
        const double out = -flow.budget().volume_in;
        p.x.push_back((n + 0.5) * interval / 60);
        p.computed.push_back((out - before) / interval);
        p.exact.push_back(exact((n + 0.5) * interval));
        before = out;
    }
    return p;
}

double hydrograph_error(const Profile& p) {
    double error = 0;
    for (std::size_t i = 0; i < p.x.size(); ++i) error += std::abs(p.computed[i] - p.exact[i]);
    return error / std::accumulate(p.exact.begin(), p.exact.end(), 0.0);
}

Outcome run_plane(const Plane& plane, SchemeOrder order, int cells) {
    StackParameters p = one_sheet(order);
    p.drag_law = DragLaw::manning;
    p.drag_coefficient = plane.roughness;
    p.edges.east = EdgeKind::open;
    Channel c(
        plane.length, cells, [&](double x) { return -plane.slope * x; }, p);
    c.flow().set_source(Field<float>(1, cells, static_cast<float>(plane.rain)));
    const int count = 40;
    Outcome out;
    const double interval = 2 * plane.equilibrium() / count;
    out.profile = hydrograph(c.flow(), interval, count, 1e30, [&](double t) { return plane.outflow(t); });
    out.error = hydrograph_error(out.profile);
    const double depth_error = c.depth_error([&](double x) { return plane.steady_depth(x); });
    const double stored = 0.625 * plane.steady_depth(plane.length) * plane.length;
    const bool first = order == SchemeOrder::first;
    out.checks = {
        {"outflow at the end, relative to i L", out.profile.computed.back() / (plane.rain * plane.length) - 1,
         0.002},
        {"depth at equilibrium, L1 relative", depth_error, first ? 0.02 : 0.01},
        {"water stored, relative to 5/8 h(L) L", c.flow().budget().volume / stored - 1, first ? 0.02 : 0.01}};
    return out;
}

constexpr double width = 800.0;  // of each plane, m
constexpr double channel_width = 20.0;
constexpr double valley_length = 1000.0;
constexpr double across = 0.05;  // slopes
constexpr double along = 0.02;
constexpr double valley_rain = 10.8e-3 / 3600;
constexpr double rain_end = 5400.0;
/// The channel lies so much below the feet of the planes that it keeps its water.
constexpr double bank = 0.6;

/// The valley as kinematic waves.
class ValleyWave {
  public:
    ValleyWave() {
        for (double x = valley_length; x > 0; x -= 10) follow(x, 0);
        for (double start = 0; start < 10800; start += 20) follow(0, start);
    }
    /// All that leaves at the lower end, m³/s.
    [[nodiscard]] double outflow(double t) const {
        const double mouth = channel_width * alpha_ * std::pow(depth_at_mouth(t), 5.0 / 3);
        constexpr int pieces = 40;
        double feet = 0;
        for (int n = 0; n < pieces; ++n) {
            feet += 2 * width / pieces * along / steepest_ *
                    on_plane((n + 0.5) * width / pieces * steepest_ / across, t);
        }
        return mouth + feet;
    }

  private:
    /// Discharge on a plane after a way down the steepest slope, m²/s.
    [[nodiscard]] double on_plane(double way, double t) const {
        return Plane{way, steepest_, 0.015, valley_rain, rain_end}.outflow(t);
    }
    /// Into the channel x below its head, m/s.
    [[nodiscard]] double inflow(double x, double t) const {
        const double way = steepest_ * std::min(width / across, std::max(x, 1e-3) / along);
        const double rain = t < rain_end ? valley_rain : 0.0;
        return rain + 2 * across / steepest_ * on_plane(way, t) / channel_width;
    }
    /// A wave that sets out from a dry channel, to the mouth.
    void follow(double x, double t) {
        constexpr double dt = 10.0;
        double h = 0;
        while (x < valley_length && t < 20000) {
            const double half = h + 0.5 * dt * inflow(x, t + 0.25 * dt);
            const double speed = 5.0 / 3 * alpha_ * std::pow(half, 2.0 / 3);
            const double share = std::min(1.0, (valley_length - x) / (speed * dt));
            h += share * dt * inflow(x + 0.5 * share * dt * speed, t + 0.5 * share * dt);
            x = share < 1 ? valley_length : x + speed * dt;
            t += share * dt;
        }
        arrival_.emplace_back(t, h);
    }
    [[nodiscard]] double depth_at_mouth(double t) const {
        std::size_t i = 1;
        while (i + 1 < arrival_.size() && arrival_[i].first < t) ++i;
        const auto& [ta, ha] = arrival_[i - 1];
        const auto& [tb, hb] = arrival_[i];
        return ha + (hb - ha) * (t - ta) / (tb - ta);
    }
    double steepest_ = std::hypot(across, along);
    double alpha_ = std::sqrt(along) / 0.15;
    std::vector<std::pair<double, double>> arrival_;
};

/// `cells` across each plane.
StackSolver<double> valley(SchemeOrder order, int cells) {
    const double dx = width / cells;
    const int in_channel = static_cast<int>(std::lround(channel_width / dx));
    const int rows = cells * 5 / 8;
    const Grid grid{rows, 2 * cells + in_channel, dx, valley_length / rows};
    Field<double> z(grid.rows, grid.cols);
    Field<float> roughness(grid.rows, grid.cols, 0.15F);
    for (int j = 0; j < grid.rows; ++j) {
        for (int i = 0; i < grid.cols; ++i) {
            const int beyond = std::max(cells - 1 - i, i - cells - in_channel);
            z(j, i) = -along * (j + 0.5) * grid.dy + (beyond < 0 ? -bank : across * (beyond + 0.5) * dx);
            if (beyond >= 0) roughness(j, i) = 0.015F;
        }
    }
    StackParameters p = one_sheet(order);
    p.drag_law = DragLaw::manning;
    p.edges.south = EdgeKind::open;
    StackSolver<double> flow(grid, z, p);
    flow.set_ground_drag(roughness);
    flow.set_source(Field<float>(grid.rows, grid.cols, static_cast<float>(valley_rain)));
    return flow;
}

double largest_difference_of_sides(const StackSolver<double>& flow) {
    double most = 0;
    for (int j = 0; j < flow.grid().rows; ++j) {
        for (int i = 0; i < flow.grid().cols; ++i) {
            const double mirror = flow.thickness(0, j, flow.grid().cols - 1 - i);
            most = std::max(most, std::abs(flow.thickness(0, j, i) - mirror));
        }
    }
    return most;
}

Outcome run_valley(SchemeOrder order, int cells) {
    StackSolver<double> flow = valley(order, cells);
    const ValleyWave wave;
    Outcome out;
    out.profile = hydrograph(flow, 60, 180, rain_end, [&](double t) { return wave.outflow(t); });
    out.error = hydrograph_error(out.profile);
    const double area = static_cast<double>(flow.grid().cells()) * flow.grid().cell_area();
    const double fallen = rain_end * static_cast<double>(static_cast<float>(valley_rain)) * area;
    const StackBudget b = flow.budget();
    out.checks = {
        {"equilibrium outflow, relative to 4.86 m³/s", out.profile.computed[89] / 4.86 - 1, 0.001},
        {"rain fallen, relative to 26 244 m³", fallen / 26244.0 - 1, 1e-6},
        {"rain less outflow and what is left, relative", (fallen + b.volume_in - b.volume) / fallen, 1e-10},
        {"largest difference of the two sides, m", largest_difference_of_sides(flow), 0.0}};
    return out;
}

FlowCase plane_case(const std::string& name, const std::string& title, const Plane& plane) {
    return {name,
            title,
            "kinematic wave, Woolhiser & Liggett 1967",
            "hydrograph, L1 relative",
            {25, 50, 100, 200},
            {0.02, {}},
            {0.01, {}},
            [plane](SchemeOrder order, int cells) { return run_plane(plane, order, cells); }};
}

}  // namespace

FlowCases rain_cases() {
    return {plane_case("rain_plane_bare", "rain on a plane, 100 m, 1 %, n 0.05, 50 mm/h",
                       {100, 0.01, 0.05, 0.05 / 3600}),
            plane_case("rain_plane_grass", "rain on a plane, 50 m, 2 %, n 0.24, 25.4 mm/h",
                       {50, 0.02, 0.24, 0.0254 / 3600}),
            {"tilted_v",
             "V-shaped catchment of 1.62 km²",
             "kinematic waves, di Giammarco et al. 1996",
             "hydrograph, L1 relative",
             {40},
             {0.03, {}},
             {0.02, {}},
             run_valley}};
}

}  // namespace lielow::cases
