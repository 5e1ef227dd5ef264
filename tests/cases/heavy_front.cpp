// SPDX-License-Identifier: Apache-2.0
// A lock of cold air let go on flat ground. The sheets have no front condition and the air above no inertia,
// so this is Ritter's dam break with b for g; what a laboratory front does and a sheet cannot is listed in
// docs/verification.md.
#include "tests/cases/channel.hpp"
#include "tests/support/shallow_water_exact.hpp"

namespace lielow::cases {
namespace {

constexpr double buoyancy = 0.1;
constexpr double depth0 = 10.0;
constexpr double lock = 500.0;
constexpr double length = 1500.0;
constexpr double time = 400.0;

Outcome run(SchemeOrder order, int cells) {
    Channel c(
        length, cells, [](double) { return 0.0; }, one_sheet(order, buoyancy));
    c.fill([](double x) { return x < lock ? depth0 : 0.0; });
    c.flow().run_until(time);
    const auto depth = [](double x) { return exact::ritter(buoyancy, depth0, x - lock, time).h; };
    Outcome out{c.depth_error(depth), {}, c.profile(depth)};
    out.profile.quantity = "thickness, m";
    const double limit = order == SchemeOrder::first ? 0.02 : 0.005;
    const int gate = cells / 3;
    out.checks.push_back(
        {"thickness at the gate, relative to 4/9 h0", c.depth_at_face(gate) / (4 * depth0 / 9) - 1, limit});
    out.checks.push_back({"speed at the gate, relative to 2/3 √(b h0)", c.speed(gate) * 1.5 - 1, limit});
    // The exact place of a thickness of 10⁻² of the lock's, near the tip that runs at 2 √(b h0) = 2 m/s.
    const double thin = 1e-2 * depth0;
    const double place = lock + time * (2 * std::sqrt(buoyancy * depth0) - 3 * std::sqrt(buoyancy * thin));
    int last = cells - 1;
    while (c.depth(last) < thin) --last;
    out.checks.push_back({"way of the front at a hundredth of the depth, relative",
                          (c.x(last) - place) / (place - lock), order == SchemeOrder::first ? 0.05 : 0.02});
    return out;
}

}  // namespace

FlowCases heavy_front_cases() {
    return {{"lock_of_cold_air",
             "lock of cold air let go, inviscid",
             "Ritter 1892 with reduced gravity",
             "thickness, L1 relative",
             {120, 240, 480, 960},
             {0.02, 0.6},
             {0.005, 0.9},
             run}};
}

}  // namespace lielow::cases
