// SPDX-License-Identifier: Apache-2.0
// Flow over a bump: the set of Goutal & Maurel 1997, Proceedings of the 2nd Workshop on Dam-Break Wave
// Simulation, EDF-DER HE-43/97/016/B, as given by Delestre et al. 2013, Int. J. Numer. Meth. Fluids
// 72:269-300, section 3.1. Away from a jump the head q²/(2 g h²) + h + z is constant; across it h conserves
// momentum. The middle case's discharge is from memory; its depths follow from it.
#include <string>

#include "tests/cases/channel.hpp"

namespace lielow::cases {
namespace {

constexpr double length = 25.0;
constexpr double crest = 10.0;
constexpr const char* source = "Goutal & Maurel 1997; Delestre et al. 2013, 3.1";

double bump(double x) {
    return x > 8 && x < 12 ? 0.2 - 0.05 * (x - crest) * (x - crest) : 0.0;
}

/// Root h of q²/(2 g h²) + h = head above or below the critical depth.
double depth_of_head(double q, double head, bool subcritical) {
    const double critical = std::cbrt(q * q / gravity);
    double low = subcritical ? critical : 1e-6;
    double high = subcritical ? head : critical;
    for (int n = 0; n < 200; ++n) {
        const double h = 0.5 * (low + high);
        const bool too_much = q * q / (2 * gravity * h * h) + h > head;
        (too_much == subcritical ? high : low) = h;
    }
    return 0.5 * (low + high);
}

struct Steady {
    double q = 0;
    double head_before = 0;  ///< m above z = 0
    double head_behind = 0;  ///< behind the jump, or behind the crest where there is none
    double turns = 1e30;     ///< x from which the flow is supercritical
    double jump = 1e30;      ///< x from which it is subcritical again
    [[nodiscard]] double depth(double x) const {
        const bool behind = x > jump;
        const bool subcritical = behind || x < turns;
        return depth_of_head(q, (behind ? head_behind : head_before) - bump(x), subcritical);
    }
};

Steady subcritical(double q, double outflow_depth) {
    const double head = q * q / (2 * gravity * outflow_depth * outflow_depth) + outflow_depth;
    return {q, head, head, 1e30, 1e30};
}

Steady transcritical(double q) {
    const double head = 1.5 * std::cbrt(q * q / gravity) + bump(crest);
    return {q, head, head, crest, 1e30};
}

/// The jump stands where momentum q²/h + g h²/2 is the same on both branches; before it the fast one has
/// more.
Steady with_jump(double q, double outflow_depth) {
    Steady s = transcritical(q);
    s.head_behind = subcritical(q, outflow_depth).head_before;
    double low = crest;
    double high = 12.0;
    for (int n = 0; n < 200; ++n) {
        const double x = 0.5 * (low + high);
        const double fast = depth_of_head(q, s.head_before - bump(x), false);
        const double slow_head = s.head_behind - bump(x);
        const double critical = std::cbrt(q * q / gravity);
        const bool no_branch = slow_head < 1.5 * critical;
        const double slow = no_branch ? critical : depth_of_head(q, slow_head, true);
        const auto force = [&](double h) { return q * q / h + 0.5 * gravity * h * h; };
        (no_branch || force(fast) > force(slow) ? low : high) = x;
    }
    s.jump = 0.5 * (low + high);
    return s;
}

Outcome run_steady(SchemeOrder order, int cells, const Steady& exact, double start_level,
                   double outflow_depth) {
    StackParameters p = one_sheet(order);
    p.edges.west = EdgeKind::inflow;
    p.edges.east = outflow_depth > 0 ? EdgeKind::far_field : EdgeKind::open;
    Channel c(length, cells, bump, p);
    c.fill_to(start_level);
    if (outflow_depth > 0) c.flow().set_far_field(std::array{outflow_depth}, 0.0, 1.0);
    c.let_in(exact.q);
    c.flow().run_until(400);
    const auto depth = [&](double x) { return exact.depth(x); };
    Outcome out{c.depth_error(depth), {}, c.profile(depth, true)};
    const double at_crest = c.depth_at_face(cells * 2 / 5);
    const bool first = order == SchemeOrder::first;
    out.checks.push_back(
        {"depth at the crest, relative", at_crest / exact.depth(crest) - 1, first ? 0.02 : 0.005});
    const double away = exact.jump < length ? 3 * c.cell() : 0.0;
    out.checks.push_back({"discharge along the channel, relative",
                          c.discharge_departure([&](double) { return exact.q; }, exact.jump, away),
                          first ? 1e-6 : 0.02});
    return out;
}

/// Where the depth passes the middle between those on the two sides of the jump, 0.0759703 and 0.2593218 m.
void add_jump_place(Outcome& out, double jump, double cell) {
    const Profile& p = out.profile;
    std::size_t i = p.x.size() - 1;
    while (p.computed[i] - p.ground[i] > 0.5 * (0.0759703 + 0.2593218)) --i;
    out.checks.push_back({"place of the jump, cells", (p.x[i] + 0.5 * cell - jump) / cell, 2.0});
}

Outcome rest(SchemeOrder order, int cells, double level) {
    Channel c(length, cells, bump, one_sheet(order));
    c.fill_to(level);
    c.flow().run_until(50);
    const auto depth = [&](double x) { return std::max(0.0, level - bump(x)); };
    Outcome out{0, {}, c.profile(depth, true)};
    for (int i = 0; i < cells; ++i) {
        out.error = std::max({out.error, std::abs(c.depth(i) - depth(c.x(i))), std::abs(c.speed(i))});
    }
    return out;
}

}  // namespace

FlowCases bump_cases() {
    const std::vector<int> grids{50, 100, 200, 400};
    const Expected at_rest{1e-12, {}};
    const std::string l1 = "depth, L1 relative";
    return {
        {"bump_rest_immersed", "lake at rest, bump immersed", source, "largest departure, m and m/s", grids,
         at_rest, at_rest, [](SchemeOrder o, int n) { return rest(o, n, 0.5); }},
        {"bump_rest_emerged", "lake at rest, bump emerged", source, "largest departure, m and m/s", grids,
         at_rest, at_rest, [](SchemeOrder o, int n) { return rest(o, n, 0.1); }},
        {"bump_subcritical",
         "subcritical over a bump, q 4.42 m²/s",
         source,
         l1,
         grids,
         {0.01, 0.8},
         {0.001, 1.5},
         [](SchemeOrder o, int n) { return run_steady(o, n, subcritical(4.42, 2.0), 2.0, 2.0); }},
        // From dry ground: once the water at the open edge is subcritical nothing outside would draw it down.
        {"bump_transcritical",
         "transcritical over a bump, q 1.53 m²/s",
         source,
         l1,
         grids,
         {0.02, 0.7},
         {0.002, 1.3},
         [](SchemeOrder o, int n) { return run_steady(o, n, transcritical(1.53), 0.0, 0.0); }},
        {"bump_jump",
         "transcritical with a jump, q 0.18 m²/s",
         source,
         l1,
         grids,
         {0.03, 0.6},
         {0.01, 0.8},
         [](SchemeOrder o, int n) {
             const Steady s = with_jump(0.18, 0.33);
             Outcome out = run_steady(o, n, s, 0.33, 0.33);
             add_jump_place(out, s.jump, length / n);
             return out;
         }},
    };
}

}  // namespace lielow::cases
