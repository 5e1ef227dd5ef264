// SPDX-License-Identifier: Apache-2.0
#include "tests/nights/ideal_night.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace lielow::nights {
namespace {

Ground make_ground(const Shape& elevation, int rows, int cols, double cell) {
    Ground ground{{rows, cols, cell, cell}, Field<float>(rows, cols), Field<std::uint8_t>(rows, cols, 1)};
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < cols; ++i)
            ground.z(j, i) = static_cast<float>(elevation((i + 0.5) * cell, (j + 0.5) * cell));
    }
    return ground;
}

NightResult run(const Ground& ground, const NightSetup& setup) {
    return run_night(ground, setup, plan_night(ground, setup));
}

NightSetup on_cells(NightSetup setup, double cell) {
    setup.cell_m = cell;
    return setup;
}

std::vector<float> column_of(const NightState& state, int row, int col) {
    std::vector<float> heights;
    for (const Field<float>& isotherm : state.isotherm_height) heights.push_back(isotherm(row, col));
    return heights;
}

}  // namespace

IdealNight::IdealNight(const Shape& elevation, int rows, int cols, double cell, NightSetup setup)
    : cell_(cell),
      hours_(setup.duration_s / 3600),
      night_(run(make_ground(elevation, rows, cols, cell), on_cells(setup, cell))) {}

double IdealNight::mean_of(double hours, const Reading& reading) const {
    double sum = 0;
    int taken = 0;
    for (const NightState& state : night_.states) {
        const double before = hours * 3600 - state.time_s;
        if (before < -1 || before > 3600 - 1) continue;
        sum += reading(state);
        ++taken;
    }
    return sum / taken;
}

const NightState& IdealNight::state_at(double hours) const {
    return *std::min_element(night_.states.begin(), night_.states.end(), [&](const auto& a, const auto& b) {
        return std::abs(a.time_s - hours * 3600) < std::abs(b.time_s - hours * 3600);
    });
}

double IdealNight::deficit(double x, double y, double height, double hours) const {
    return mean_of(hours, [&](const NightState& state) {
        const std::vector<float> heights = column_of(state, row(y), col(x));
        return deficit_at(night_.scale, heights.data(), static_cast<int>(heights.size()), height);
    });
}

double IdealNight::temperature(double x, double y, double height, double hours) const {
    return -deficit(x, y, height, hours) - dry_lapse * (ground(x, y) + height);
}

double IdealNight::missing_in(const NightState& state, int row, int col) const {
    double sum = 0;
    for (const float height : column_of(state, row, col)) sum += static_cast<double>(height);
    return night_.scale.sheet_step * sum;
}

double IdealNight::missing(double x, double y, double hours) const {
    return mean_of(hours, [&](const NightState& state) { return missing_in(state, row(y), col(x)); });
}

double IdealNight::layer_depth(double x, double y, double hours) const {
    const double moment = mean_of(hours, [&](const NightState& state) {
        double sum = 0;  // ∫ z deficit dz = δ Σ S²/2
        for (const float h : column_of(state, row(y), col(x))) sum += static_cast<double>(h * h) / 2;
        return night_.scale.sheet_step * sum;
    });
    return 2 * moment / missing(x, y, hours);
}

double IdealNight::top(double x, double y, double hours) const {
    return mean_of(hours, [&](const NightState& state) {
        return static_cast<double>(state.isotherm_height.front()(row(y), col(x)));
    });
}

double IdealNight::lowest_wind(double x, double y, double hours) const {
    return mean_of(hours, [&](const NightState& state) {
        return static_cast<double>(std::hypot(state.wind_x(row(y), col(x)), state.wind_y(row(y), col(x))));
    });
}

double IdealNight::layer_speed(double x, double hours) const {
    const NightState& late = state_at(hours);
    const NightState& early = state_at(hours - 1);
    double kept = 0;
    for (int i = 0; i < col(x); ++i) kept += (missing_in(late, 0, i) - missing_in(early, 0, i)) * cell_;
    const double edge = col(x) * cell_;
    const double crossing = night_.plan.loss_k_m_s * edge - kept / (late.time_s - early.time_s);
    return crossing / (0.5 * (missing(edge - 0.5 * cell_, 0, hours) + missing(edge + 0.5 * cell_, 0, hours)));
}

IdealNight strip_night(const std::function<double(double x)>& elevation, double length, double cell,
                       NightSetup setup) {
    setup.edges = EdgeKind::wall;
    return {[&](double x, double) { return elevation(x); }, 1, static_cast<int>(std::lround(length / cell)),
            cell, setup};
}

}  // namespace lielow::nights
