// SPDX-License-Identifier: Apache-2.0
#include "sim/night_origin.hpp"

#include <algorithm>
#include <cmath>

namespace lielow {
namespace {

struct Wind {
    double x = 0;  // m/s
    double y = 0;
};

/// Wind of one state at a place in cells, centres at n + 1/2.
Wind wind_in(const NightState& state, double row, double col) {
    const Field<float>& u = state.wind_x;
    const Field<float>& v = state.wind_y;
    const double y = std::clamp(row - 0.5, 0.0, u.rows() - 1.0);
    const double x = std::clamp(col - 0.5, 0.0, u.cols() - 1.0);
    const auto j = static_cast<std::int32_t>(y);
    const auto i = static_cast<std::int32_t>(x);
    const std::int32_t below = std::min(j + 1, u.rows() - 1);
    const std::int32_t right = std::min(i + 1, u.cols() - 1);
    const auto read = [&](const Field<float>& f) {
        const double upper =
            (1 - (x - i)) * static_cast<double>(f(j, i)) + (x - i) * static_cast<double>(f(j, right));
        const double lower =
            (1 - (x - i)) * static_cast<double>(f(below, i)) + (x - i) * static_cast<double>(f(below, right));
        return upper + (y - j) * (lower - upper);
    };
    return {read(u), read(v)};
}

/// Between states; before the first, when the air has just begun to move, the first one's wind in proportion
/// to time.
Wind wind_at(const std::vector<NightState>& states, double time, double row, double col) {
    const auto later = std::lower_bound(states.begin(), states.end() - 1, time,
                                        [](const NightState& state, double t) { return state.time_s < t; });
    const auto after = static_cast<std::size_t>(later - states.begin());
    const Wind b = wind_in(states[after], row, col);
    const double start = after > 0 ? states[after - 1].time_s : 0.0;
    const Wind a = after > 0 ? wind_in(states[after - 1], row, col) : Wind{};
    const double share = std::clamp((time - start) / (states[after].time_s - start), 0.0, 1.0);
    return {a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
}

/// Follows a path back within one night from `time` on, s; returns when it left the grid, 0 if it never did.
double followed_back(const NightResult& night, double time, NightPlace& place) {
    constexpr double longest_s = 300;
    constexpr double stride = 0.5;  // cells a step
    const Grid& grid = night.plan.grid;
    while (time > 0) {
        const Wind here = wind_at(night.states, time, place.row, place.col);
        const double rate = std::max(std::abs(here.x) / grid.dx, std::abs(here.y) / grid.dy);
        const double dt = std::min({longest_s, time, rate > 0 ? stride / rate : longest_s});
        const Wind middle = wind_at(night.states, time - 0.5 * dt, place.row - 0.5 * dt * here.y / grid.dy,
                                    place.col - 0.5 * dt * here.x / grid.dx);
        place.row -= dt * middle.y / grid.dy;
        place.col -= dt * middle.x / grid.dx;
        time -= dt;
        if (place.row < 0 || place.col < 0 || place.row > grid.rows || place.col > grid.cols) return time;
    }
    return 0;
}

double coldest_time(const NightResult& night, const NightPlace& place) {
    const Field<float>& times = night.coldest_time_s;
    return static_cast<double>(times(std::clamp(static_cast<std::int32_t>(place.row), 0, times.rows() - 1),
                                     std::clamp(static_cast<std::int32_t>(place.col), 0, times.cols() - 1)));
}

bool came_over_edge(const NightResult& night, NightPlace place, const WiderNight& wider) {
    const double left = followed_back(night, coldest_time(night, place), place);
    if (!(left > 0) || wider.night == nullptr) return left > 0;
    const Grid& farm = night.plan.grid;
    const Grid& around = wider.night->plan.grid;
    NightPlace beyond{(wider.south_m + place.row * farm.dy) / around.dy,
                      (wider.east_m + place.col * farm.dx) / around.dx};
    return followed_back(*wider.night, left, beyond) > 0;
}

}  // namespace

double share_from_edges(const NightResult& night, std::span<const NightPlace> places, const WiderNight& wider,
                        std::size_t most) {
    if (places.empty() || night.states.empty()) return 0;
    const std::size_t picked = std::min(most, places.size());
    std::int64_t from_edges = 0;
#pragma omp parallel for schedule(dynamic, 16) reduction(+ : from_edges)
    for (std::size_t n = 0; n < picked; ++n)
        from_edges += came_over_edge(night, places[n * places.size() / picked], wider) ? 1 : 0;
    return static_cast<double>(from_edges) / static_cast<double>(picked);
}

}  // namespace lielow
