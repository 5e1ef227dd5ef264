// SPDX-License-Identifier: Apache-2.0
#include "sim/night_ring.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "sim/errors.hpp"
#include "sim/night_map.hpp"

namespace lielow {
namespace {

constexpr double first_interval_s = 60;
constexpr double growth = 0.1;  ///< isotherms rise as the square root of time: samples by 10 % of it

/// First of the two cells around `position` (in cells, centres at n + 1/2), and the share of the second.
std::pair<std::int32_t, double> around(double position, std::int32_t cells) {
    const double from_first = std::clamp(position - 0.5, 0.0, cells - 1.0);
    const auto first = std::min(static_cast<std::int32_t>(from_first), cells - 2);
    return {first, from_first - first};
}

}  // namespace

NightRing::NightRing(const NightPlan& outer, Field<double> outer_ground, double east_m, double south_m,
                     const NightPlan& inner, const Field<double>& inner_ground)
    : outer_(outer), outer_ground_(std::move(outer_ground)), sheets_(outer.sheets) {
    const Grid& in = inner.grid;
    const Grid& out = outer.grid;
    if (outer.sheets != inner.sheets || outer.sheet_step_k != inner.sheet_step_k)
        throw InputError("the night around and the night inside differ in their sheets of air");
    if (east_m < in.dx || south_m < in.dy || east_m + (in.cols + 1) * in.dx > out.cols * out.dx ||
        south_m + (in.rows + 1) * in.dy > out.rows * out.dy || out.rows < 2 || out.cols < 2) {
        throw InputError("the ground around doesn't reach beyond the farm's on every side");
    }
    const auto add = [&](std::int32_t row, std::int32_t col, std::int32_t outward_rows,
                         std::int32_t outward_cols) {
        const double x = east_m + (col + 0.5) * in.dx;
        const double y = south_m + (row + 0.5) * in.dy;
        places_.push_back(
            place_at(x + outward_cols * in.dx, y + outward_rows * in.dy, x, y, inner_ground(row, col), out));
    };
    for (std::int32_t j = 0; j < in.rows; ++j) add(j, 0, 0, -1);
    first_[1] = places_.size();
    for (std::int32_t j = 0; j < in.rows; ++j) add(j, in.cols - 1, 0, 1);
    first_[2] = places_.size();
    for (std::int32_t i = 0; i < in.cols; ++i) add(0, i, -1, 0);
    first_[3] = places_.size();
    for (std::int32_t i = 0; i < in.cols; ++i) add(in.rows - 1, i, 1, 0);
    first_[4] = places_.size();
}

double NightRing::bilinear(double x, double y, const Grid& outer, Place& place) const {
    const auto [row, down] = around(y / outer.dy, outer.rows);
    const auto [col, along] = around(x / outer.dx, outer.cols);
    const auto cols = static_cast<std::size_t>(outer.cols);
    const std::size_t cell = static_cast<std::size_t>(row) * cols + static_cast<std::size_t>(col);
    place.cell = {cell, cell + 1, cell + cols, cell + cols + 1};
    const std::array<double, 4> weight{(1 - down) * (1 - along), (1 - down) * along, down * (1 - along),
                                       down * along};
    double z = 0;
    for (std::size_t n = 0; n < 4; ++n) {
        place.weight[n] = static_cast<float>(weight[n]);
        z += weight[n] * outer_ground_[place.cell[n]];
    }
    return z;
}

NightRing::Place NightRing::place_at(double x, double y, double inside_x, double inside_y, double inside_z,
                                     const Grid& outer) const {
    // The finer ground runs on outwards with the wide ground's slope.
    Place place{};
    const double inside = bilinear(inside_x, inside_y, outer, place);
    place.rise = bilinear(x, y, outer, place) - inside;
    place.ground = inside_z + place.rise;
    return place;
}

float NightRing::height_over(const Place& place, const Field<float>& elevation,
                             const Field<float>& height) const {
    // From one of the four on, so that level air stays level to the last bit.
    const auto read = [&place](const Field<float>& values) {
        const float base = values[place.cell[0]];
        float value = base;
        for (std::size_t n = 1; n < 4; ++n) value += place.weight[n] * (values[place.cell[n]] - base);
        return value;
    };
    const auto slope = [&](const Field<float>& values) {
        const auto& c = place.cell;
        const auto along = static_cast<double>((values[c[1]] - values[c[0]]) + (values[c[3]] - values[c[2]]));
        const auto down = static_cast<double>((values[c[2]] - values[c[0]]) + (values[c[3]] - values[c[1]]));
        return 0.5 * std::hypot(along / outer_.grid.dx, down / outer_.grid.dy);
    };
    constexpr double level_slope = 1e-4;  // an isotherm tilted no more than this is level
    constexpr double most_swelling = 2;   // of the air's height over lower ground, where the air follows it
    constexpr double film = 0.1;          // m, beyond the shore of a level pool
    const double of_isotherm = slope(elevation);
    const double share = of_isotherm / (of_isotherm + slope(height) + level_slope);
    const double level = static_cast<double>(read(elevation)) - place.ground;
    const double swollen = most_swelling * static_cast<double>(read(height)) + film;
    return static_cast<float>(share > 0 ? std::min(level, swollen / share) : level);
}

bool NightRing::due(double time, double end) const {
    if (samples_.empty() || time >= end) return true;
    const double last = samples_.back().time_s;
    return time >= last + std::clamp(growth * last, std::min(first_interval_s, longest_interval_s_),
                                     longest_interval_s_);
}

void NightRing::record_velocity(const StackSolver<float>& outer, int sheet, Sample& sample) const {
    const std::size_t offset = static_cast<std::size_t>(sheet) * places_.size();
    for (std::size_t p = 0; p < places_.size(); ++p) {
        float x = 0;
        float y = 0;
        float depth = 0;
        for (std::size_t n = 0; n < 4; ++n) {
            const auto row =
                static_cast<std::int32_t>(places_[p].cell[n] / static_cast<std::size_t>(outer.grid().cols));
            const auto col =
                static_cast<std::int32_t>(places_[p].cell[n] % static_cast<std::size_t>(outer.grid().cols));
            const float h = places_[p].weight[n] * outer.thickness(sheet, row, col);
            depth += h;
            x += h * 0.5F * (outer.velocity_x(sheet, row, col) + outer.velocity_x(sheet, row, col + 1));
            y += h * 0.5F * (outer.velocity_y(sheet, row, col) + outer.velocity_y(sheet, row + 1, col));
        }
        sample.velocity_x[offset + p] = depth > 0 ? x / depth : 0.0F;
        sample.velocity_y[offset + p] = depth > 0 ? y / depth : 0.0F;
    }
}

void NightRing::record(const StackSolver<float>& outer, const Field<float>& gradient) {
    if (!samples_.empty() && samples_.back().time_s >= outer.time()) return;
    const Grid& grid = outer.grid();
    std::vector<Field<float>> heights;
    for (int k = 0; k < sheets_; ++k) heights.emplace_back(grid.rows, grid.cols);
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        for (std::int32_t i = 0; i < grid.cols; ++i) {
            float height = 0;
            for (int k = sheets_ - 1; k >= 0; --k)
                heights[static_cast<std::size_t>(k)](j, i) = height += outer.thickness(k, j, i);
        }
    }
    const Ground blocks{grid, {}, {}};  // read cell by cell, so the fine grid doesn't matter
    const IsothermSurfaces surfaces(blocks, outer_, {outer_.sheet_step_k, 0}, outer_ground_, heights,
                                    &gradient);
    Sample sample;
    sample.time_s = outer.time();
    const std::size_t values = static_cast<std::size_t>(sheets_) * places_.size();
    sample.height.resize(values);
    sample.velocity_x.resize(values);
    sample.velocity_y.resize(values);
    for (int k = 0; k < sheets_; ++k) {
        const auto sheet = static_cast<std::size_t>(k);
        for (std::size_t p = 0; p < places_.size(); ++p) {
            sample.height[sheet * places_.size() + p] =
                height_over(places_[p], surfaces.elevation(sheet), heights[sheet]);
        }
        record_velocity(outer, k, sample);
    }
    samples_.push_back(std::move(sample));
}

std::size_t NightRing::bytes() const {
    return samples_.size() * 3 * static_cast<std::size_t>(sheets_) * places_.size() * sizeof(float);
}

void NightRing::lay_ground(StackSolver<float>& inner) const {
    for (const Side side : {Side::west, Side::east, Side::north, Side::south}) {
        std::vector<double> rise;
        for (std::size_t p = first_[static_cast<std::size_t>(side)];
             p < first_[static_cast<std::size_t>(side) + 1]; ++p)
            rise.push_back(places_[p].rise);
        inner.set_outside_rise(side, rise);
    }
}

void NightRing::give_side(Side side, const Sample& before, const Sample& after, float share,
                          StackSolver<float>& inner) const {
    const std::size_t first = first_[static_cast<std::size_t>(side)];
    const std::size_t places = first_[static_cast<std::size_t>(side) + 1] - first;
    const std::size_t values = places * static_cast<std::size_t>(sheets_);
    std::vector<float> thickness(values);
    std::vector<float> velocity_x(values);
    std::vector<float> velocity_y(values);
    const auto between = [&](const std::vector<float>& a, const std::vector<float>& b, std::size_t at) {
        return a[at] + share * (b[at] - a[at]);
    };
    for (std::size_t p = 0; p < places; ++p) {
        float below = 0;
        for (int k = sheets_ - 1; k >= 0; --k) {
            const std::size_t from = static_cast<std::size_t>(k) * places_.size() + first + p;
            const std::size_t to = static_cast<std::size_t>(k) * places + p;
            const float height = std::max(0.0F, between(before.height, after.height, from));
            thickness[to] = std::max(0.0F, height - below);
            below = std::max(below, height);
            velocity_x[to] = between(before.velocity_x, after.velocity_x, from);
            velocity_y[to] = between(before.velocity_y, after.velocity_y, from);
        }
    }
    inner.set_outside(side, {thickness, velocity_x, velocity_y});
}

void NightRing::give(StackSolver<float>& inner) const {
    const auto later = std::upper_bound(samples_.begin(), samples_.end(), inner.time(),
                                        [](double time, const Sample& s) { return time < s.time_s; });
    const Sample& after = later == samples_.end() ? samples_.back() : *later;
    const Sample& before = later == samples_.begin() ? samples_.front() : *(later - 1);
    const double span = after.time_s - before.time_s;
    const auto share = span > 0 ? static_cast<float>((inner.time() - before.time_s) / span) : 0.0F;
    for (const Side side : {Side::west, Side::east, Side::north, Side::south})
        give_side(side, before, after, share, inner);
}

void NightRing::walk(StateWalk& walk) {
    walk.log(samples_, [&walk](Sample& sample) {
        walk.value(sample.time_s);
        for (auto* values : {&sample.height, &sample.velocity_x, &sample.velocity_y}) walk.vector(*values);
    });
}

}  // namespace lielow
