// SPDX-License-Identifier: Apache-2.0
#include "sim/flow_line.hpp"

#include <algorithm>
#include <cmath>

namespace lielow {
namespace {

/// A corner of cells: row and column of the cell to its south-east.
struct Corner {
    std::int32_t row = 0;
    std::int32_t col = 0;
};

Corner nearest_corner(const GroundPoint& p, const Grid& grid) {
    const auto nearest = [](double along, std::int32_t count) {
        return static_cast<std::int32_t>(std::lround(std::clamp(along, 0.0, static_cast<double>(count))));
    };
    return {nearest(p.y / grid.dy, grid.rows), nearest(p.x / grid.dx, grid.cols)};
}

/// One step along a row of corners crosses what flows through the y face beneath it, and so on. Going east,
/// the left hand is north: what flows south goes from left to right. Going south, the left hand is east: what
/// flows west does.
LineFace face_of_step(const Corner& from, int down, int right) {
    if (right != 0) return {false, from.row, std::min(from.col, from.col + right), right > 0 ? 1.0 : -1.0};
    return {true, std::min(from.row, from.row + down), from.col, down > 0 ? -1.0 : 1.0};
}

void walk(Corner from, const Corner& to, std::vector<LineFace>& faces) {
    const int right = to.col > from.col ? 1 : -1;
    const int down = to.row > from.row ? 1 : -1;
    const std::int64_t across = std::abs(to.col - from.col);
    const std::int64_t along = std::abs(to.row - from.row);
    std::int64_t done_across = 0;
    std::int64_t done_along = 0;
    while (done_across < across || done_along < along) {
        // The step whose half-way point lags behind the line.
        const bool sideways = (2 * done_across + 1) * along <= (2 * done_along + 1) * across;
        faces.push_back(face_of_step(from, sideways ? 0 : down, sideways ? right : 0));
        if (sideways) {
            from.col += right;
            ++done_across;
        } else {
            from.row += down;
            ++done_along;
        }
    }
}

}  // namespace

std::vector<LineFace> line_faces(const Polyline& line, const Grid& grid) {
    std::vector<LineFace> faces;
    for (std::size_t n = 1; n < line.size(); ++n)
        walk(nearest_corner(line[n - 1], grid), nearest_corner(line[n], grid), faces);
    return faces;
}

template <class Real>
LineMeter<Real>::LineMeter(const Grid& grid, const std::vector<Polyline>& lines)
    : grid_(grid), rate_(lines.size(), 0.0), crossed_(lines.size(), 0.0) {
    for (const Polyline& line : lines) faces_.push_back(line_faces(line, grid));
}

template <class Real>
void LineMeter<Real>::before_step(const StackSolver<Real>& solver) {
    for (std::size_t n = 0; n < faces_.size(); ++n) {
        double rate = 0;
        for (const LineFace& f : faces_[n]) {
            const auto speed = static_cast<double>(f.on_x ? solver.velocity_x(0, f.row, f.col)
                                                          : solver.velocity_y(0, f.row, f.col));
            const std::int32_t before_row = f.on_x ? f.row : f.row - 1;
            const std::int32_t before_col = f.on_x ? f.col - 1 : f.col;
            const auto depth = static_cast<double>(speed > 0 ? solver.thickness(0, before_row, before_col)
                                                             : solver.thickness(0, f.row, f.col));
            rate += f.sign * speed * depth * (f.on_x ? grid_.dy : grid_.dx);
        }
        rate_[n] = rate;
    }
}

template <class Real>
void LineMeter<Real>::after_step(double dt) {
    for (std::size_t n = 0; n < rate_.size(); ++n) crossed_[n] += rate_[n] * dt;
}

template class LineMeter<float>;
template class LineMeter<double>;

}  // namespace lielow
