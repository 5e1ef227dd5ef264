// SPDX-License-Identifier: Apache-2.0
#include "sim/border_flow.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "sim/flow_paths.hpp"

namespace lielow {
namespace {

struct Slope {
    double x = 0;
    double y = 0;
};

/// Slope of the cover around a cell under a round bell, wide enough to see past single cells and the same in
/// all directions; beyond the grid there is no field.
Slope cover_slope(const Grid& grid, const Field<float>& cover, std::int32_t row, std::int32_t col) {
    constexpr std::int32_t reach = 4;
    constexpr double width = 1.8;  // cells
    const double scale = 1 / (width * width * grid.cell_area());
    Slope slope;
    for (std::int32_t b = -reach; b <= reach; ++b) {
        for (std::int32_t a = -reach; a <= reach; ++a) {
            if (!grid.contains(row + b, col + a)) continue;
            const double x = a * grid.dx;
            const double y = b * grid.dy;
            const double share =
                static_cast<double>(cover(row + b, col + a)) * std::exp(-(x * x + y * y) * scale);
            slope.x += share * x;
            slope.y += share * y;
        }
    }
    return slope;
}

BorderFace border_face(const Grid& grid, const Field<float>& cover, const RasterAxes& axes, std::int32_t row,
                       std::int32_t col, std::int32_t down, std::int32_t right) {
    BorderFace face{row, col, row + down, col + right, 0};
    const Slope here = cover_slope(grid, cover, row, col);
    const Slope there = cover_slope(grid, cover, face.outer_row, face.outer_col);
    double x = -(here.x + there.x);
    double y = -(here.y + there.y);
    const double outward = x * right + y * down;
    if (!(outward > 0)) x = right, y = down;  // a neck: the face itself is all there is
    face.side = compass_sector(bearing_deg(axes, x, y));
    return face;
}

}  // namespace

Field<float> covered_share(const Grid& fine, const Blocks& blocks, const Zone& zone) {
    const Grid coarse = block_grid(fine, blocks);
    Field<double> sum(coarse.rows, coarse.cols, 0.0);
    for (std::size_t n = 0; n < zone.cells.size(); ++n) {
        const std::uint32_t cell = zone.cells[n];
        const auto row = static_cast<std::int32_t>(cell / static_cast<std::uint32_t>(fine.cols));
        const auto col = static_cast<std::int32_t>(cell % static_cast<std::uint32_t>(fine.cols));
        sum(row / blocks.rows, col / blocks.cols) += static_cast<double>(zone.share[n]);
    }
    Field<float> share(coarse.rows, coarse.cols);
    const double block_cells = static_cast<double>(blocks.rows) * blocks.cols;
    for (std::size_t c = 0; c < share.size(); ++c) share[c] = static_cast<float>(sum[c] / block_cells);
    return share;
}

FieldCells field_cells(const Grid& grid, const Field<float>& cover, const RasterAxes& axes) {
    FieldCells field;
    const auto best = std::max_element(cover.all().begin(), cover.all().end());
    if (!(*best > 0)) return field;
    const float least = std::min(*best, 0.5F);
    std::vector<char> inside(cover.size(), 0);
    for (std::size_t c = 0; c < cover.size(); ++c) {
        const bool first_best = *best < 0.5F && &cover[c] != &*best;
        if (cover[c] < least || first_best) continue;
        inside[c] = 1;
        field.cells.push_back(c);
    }
    constexpr std::int32_t around[4][2] = {{-1, 0}, {0, -1}, {0, 1}, {1, 0}};
    for (const std::size_t c : field.cells) {
        const auto row = static_cast<std::int32_t>(c / static_cast<std::size_t>(grid.cols));
        const auto col = static_cast<std::int32_t>(c % static_cast<std::size_t>(grid.cols));
        for (const auto& [down, right] : around) {
            const bool outside =
                !grid.contains(row + down, col + right) || inside[grid.index(row + down, col + right)] == 0;
            if (outside) field.border.push_back(border_face(grid, cover, axes, row, col, down, right));
        }
    }
    return field;
}

BorderMeter::BorderMeter(const Grid& grid, FieldCells field, double sheet_step_k, double low)
    : grid_(grid), field_(std::move(field)), sheet_step_k_(sheet_step_k), low_(low) {
    sums_.face_low_in_k_m3.assign(field_.border.size(), 0.0);
}

void BorderMeter::before_step(const StackSolver<float>& solver) {
    sheets_ = solver.sheets();
    inward_.resize(field_.border.size() * static_cast<std::size_t>(sheets_));
    low_in_.assign(field_.border.size(), 0.0F);
    for (std::size_t n = 0; n < field_.border.size(); ++n)
        take_face(solver, field_.border[n], &inward_[n * static_cast<std::size_t>(sheets_)], low_in_[n]);
}

void BorderMeter::take_face(const StackSolver<float>& solver, const BorderFace& f, float* inward,
                            float& low_in) const {
    const bool along_row = f.row == f.outer_row;
    // A face has the number of the cell behind it; velocity is positive from the cell before it.
    const bool outer_first = along_row ? f.outer_col < f.col : f.outer_row < f.row;
    const std::int32_t face = along_row ? std::max(f.col, f.outer_col) : std::max(f.row, f.outer_row);
    const auto length = static_cast<float>(along_row ? grid_.dy : grid_.dx);
    const auto low = static_cast<float>(low_);
    float below = 0;  // height of the outer cell's sheets below this one, m
    for (int k = sheets_ - 1; k >= 0; --k) {
        const float speed = along_row ? solver.velocity_x(k, f.row, face) : solver.velocity_y(k, face, f.col);
        const float in = outer_first ? speed : -speed;
        const float outer = solver.thickness(k, f.outer_row, f.outer_col);
        inward[k] = in * (in > 0 ? outer : solver.thickness(k, f.row, f.col)) * length;
        if (in > 0 && below < low)
            low_in += static_cast<float>(k + 1) * in * std::min(outer, low - below) * length;
        below += outer;
    }
}

void BorderMeter::after_step(double dt) {
    const float* inward = inward_.data();
    for (std::size_t n = 0; n < field_.border.size(); ++n) {
        double in = 0, out = 0, cold_in = 0, cold_out = 0;
        for (int k = 0; k < sheets_; ++k) {
            const auto flux = static_cast<double>(*inward++);
            (flux > 0 ? in : out) += flux;
            (flux > 0 ? cold_in : cold_out) += flux * (k + 1);
        }
        const auto side = static_cast<std::size_t>(field_.border[n].side);
        sums_.air_in_m3[side] += in * dt;
        sums_.air_out_m3[side] -= out * dt;
        sums_.cold_in_k_m3[side] += cold_in * sheet_step_k_ * dt;
        sums_.cold_out_k_m3[side] -= cold_out * sheet_step_k_ * dt;
        const double low_in = static_cast<double>(low_in_[n]) * sheet_step_k_ * dt;
        sums_.low_in_k_m3[side] += low_in;
        sums_.face_low_in_k_m3[n] += low_in;
    }
}

void BorderMeter::walk(StateWalk& walk) {
    for (auto* sides :
         {&sums_.air_in_m3, &sums_.air_out_m3, &sums_.cold_in_k_m3, &sums_.cold_out_k_m3, &sums_.low_in_k_m3})
        walk.value(*sides);
    walk.vector(sums_.face_low_in_k_m3);
    walk.value(sums_.content_k_m3);
    walk.value(sums_.air_content_m3);
    walk.value(sheets_);
    walk.vector(inward_);
    walk.vector(low_in_);
}

void BorderMeter::count_content(const StackSolver<float>& solver) {
    double air = 0;
    double cold = 0;
    for (const std::size_t c : field_.cells) {
        const auto row = static_cast<std::int32_t>(c / static_cast<std::size_t>(grid_.cols));
        const auto col = static_cast<std::int32_t>(c % static_cast<std::size_t>(grid_.cols));
        for (int k = 0; k < solver.sheets(); ++k) {
            const auto thick = static_cast<double>(solver.thickness(k, row, col));
            air += thick;
            cold += thick * (k + 1);
        }
    }
    sums_.air_content_m3 = air * grid_.cell_area();
    sums_.content_k_m3 = cold * sheet_step_k_ * grid_.cell_area();
}

namespace {

PathRules upstream_rules(const Grid& grid, double seconds) {
    PathRules rules;
    rules.step = 0.5 * std::min(grid.dx, grid.dy);
    rules.longest = 10 * (grid.cols * grid.dx + grid.rows * grid.dy);
    rules.latest = seconds;
    rules.upstream = true;
    return rules;
}

/// Whether the mean flow brings air to `start` from beyond the edge of all known ground.
bool comes_from_edge(const FaceFlow& mean, const Place& start, bool on_edge, double seconds,
                     const WiderFlow* wider) {
    FlowPath path{{start}, 0, 0, PathEnd::edge};
    if (!on_edge) path = trace_path(mean, start, upstream_rules(mean.grid, seconds));
    if (path.end != PathEnd::edge || wider == nullptr) return path.end == PathEnd::edge;
    const double left = seconds - path.seconds;
    if (!(left > 0)) return false;
    const Place beyond{path.places.back().x + wider->east_m, path.places.back().y + wider->south_m};
    return trace_path(wider->mean, beyond, upstream_rules(wider->mean.grid, left)).end == PathEnd::edge;
}

}  // namespace

double share_from_edge(const FaceFlow& mean, const BorderMeter& meter, double seconds,
                       const WiderFlow* wider) {
    double all = 0;
    double from_edge = 0;
    for (std::size_t n = 0; n < meter.field().border.size(); ++n) {
        const double weight = meter.sums().face_low_in_k_m3[n];
        if (!(weight > 0)) continue;
        const BorderFace& f = meter.field().border[n];
        const Place start{(0.5 * (f.col + f.outer_col) + 0.5) * mean.grid.dx,
                          (0.5 * (f.row + f.outer_row) + 0.5) * mean.grid.dy};
        all += weight;
        const bool on_edge = !mean.grid.contains(f.outer_row, f.outer_col);
        if (comes_from_edge(mean, start, on_edge, seconds, wider)) from_edge += weight;
    }
    return all > 0 ? from_edge / all : 0.0;
}

}  // namespace lielow
