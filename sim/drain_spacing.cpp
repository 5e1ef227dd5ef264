// SPDX-License-Identifier: Apache-2.0
#include "sim/drain_spacing.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double pi = std::numbers::pi;
constexpr double quartic_start = 1.16;
constexpr double boussinesq_1904 = 4.46209;  // 6 (∫₀¹ f df/√(1 − f³))²; printed as 4.46
constexpr double nearest_m = 0.5;
constexpr double farthest_m = 5000;

void ask(bool sound, const char* what) {
    if (!sound) throw InputError(what);
}

void check(const DrainedGround& ground) {
    ask(ground.conductivity_m_s > 0 && ground.above_m_s >= 0,
        "the conductivity at the drains must be above 0");
    ask(ground.below_m >= 0 && ground.radius_m > 0,
        "the restrictive layer can't lie above the drains, and their radius must be above 0");
}

double above(const DrainedGround& ground) {
    return ground.above_m_s > 0 ? ground.above_m_s : ground.conductivity_m_s;
}

double depth_or_none(const DrainedGround& ground, double spacing) {
    return ground.below_m > 0 ? equivalent_depth(ground.below_m, spacing, ground.radius_m) : 0.0;
}

/// Where `excess(L)`, falling with L, crosses nought.
template <class Excess>
double spacing_where(Excess excess) {
    double low = nearest_m;
    double high = farthest_m;
    if (excess(low) <= 0) return low;
    if (excess(high) >= 0) return high;
    for (int i = 0; i < 200 && high - low > 1e-12 * high; ++i) {
        const double middle = 0.5 * (low + high);
        (excess(middle) > 0 ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

/// F(x) of van der Molen & Wesseling; below x = 0.5 by its limit, which there is good to 1e-8.
double convergence_sum(double x) {
    if (x < 0.5) return pi * pi / (4 * x) + std::log(x / (2 * pi));
    double sum = 0;
    for (int n = 1; n < 200; n += 2) {
        const double e = std::exp(-2 * n * x);
        sum += 4 * e / (n * (1 - e));
        if (e < 1e-18) break;
    }
    return sum;
}

}  // namespace

double equivalent_depth(double below_m, double spacing_m, double radius_m) {
    ask(below_m > 0 && radius_m > 0 && spacing_m > pi * radius_m,
        "an equivalent depth needs ground below the drains and a spacing beyond their own girth");
    const double all = std::log(spacing_m / (pi * radius_m)) + convergence_sum(2 * pi * below_m / spacing_m);
    return std::min(below_m, pi * spacing_m / (8 * all));
}

double equivalent_depth_moody(double below_m, double spacing_m, double radius_m) {
    ask(below_m > 0 && radius_m > 0 && spacing_m > pi * radius_m,
        "an equivalent depth needs ground below the drains and a spacing beyond their own girth");
    const double share = below_m / spacing_m;
    if (share > 0.3) return pi * spacing_m / (8 * (std::log(spacing_m / radius_m) - 1.15));
    return below_m / (1 + share * (8 / pi * std::log(below_m / radius_m) - 3.4));
}

double hooghoudt_discharge(const DrainedGround& ground, double spacing_m, double height_m) {
    check(ground);
    const double d = depth_or_none(ground, spacing_m);
    return (8 * ground.conductivity_m_s * d * height_m + 4 * above(ground) * height_m * height_m) /
           (spacing_m * spacing_m);
}

double hooghoudt_spacing(const DrainedGround& ground, double height_m, double recharge_m_s) {
    ask(height_m > 0 && recharge_m_s > 0, "a drain spacing needs a height and a recharge above 0");
    return spacing_where(
        [&](double spacing) { return hooghoudt_discharge(ground, spacing, height_m) - recharge_m_s; });
}

double glover_dumm_spacing(const DrainedGround& ground, double from_m, double to_m, double time_s,
                           bool with_height) {
    ask(from_m > to_m && to_m > 0, "a drawdown goes from a height to a lower one, both above the drains");
    ask(time_s > 0 && ground.porosity > 0, "a drawdown needs a time and a drainable porosity above 0");
    return spacing_where([&](double spacing) {
        return to_m - glover_dumm_height(ground, spacing, from_m, time_s, with_height);
    });
}

double glover_dumm_height(const DrainedGround& ground, double spacing_m, double from_m, double time_s,
                          bool with_height) {
    check(ground);
    ask(ground.porosity > 0 && from_m > 0, "a falling table needs a drainable porosity and a height above 0");
    const double k_over = ground.conductivity_m_s / (ground.porosity * spacing_m * spacing_m);
    if (!(ground.below_m > 0)) return from_m / (1 + boussinesq_1904 * k_over * from_m * time_s);
    const double d = depth_or_none(ground, spacing_m);
    double height = from_m;
    // The mean height hangs on the answer: a few rounds settle it.
    for (int i = 0; i < (with_height ? 60 : 1); ++i) {
        const double thick = d + (with_height ? 0.25 * (from_m + height) : 0.0);
        height = std::min(from_m, quartic_start * from_m * std::exp(-pi * pi * thick * k_over * time_s));
    }
    return height;
}

double radial_conductance_m_s(double conductivity_m_s, double below_m, double radius_m) {
    ask(conductivity_m_s > 0 && radius_m > 0, "a drain's conductivity and radius must be above 0");
    const double log = std::log(std::max(below_m, 0.0) / (pi * radius_m));
    return log > 0 ? pi * conductivity_m_s / log : std::numeric_limits<double>::infinity();
}

double raised_bed_height(double root_depth_m, double table_depth_m, double fringe_m) {
    return std::max(0.0, root_depth_m + fringe_m - table_depth_m);
}

}  // namespace lielow
