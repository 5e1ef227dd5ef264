// SPDX-License-Identifier: Apache-2.0
#include "sim/face_flow.hpp"

#include <algorithm>
#include <cmath>

namespace lielow {
namespace {

/// Bilinear on points at (0, 0), (0, 1) ...; beyond the outermost points their value.
double between_points(const Field<float>& values, double row, double col) {
    const double r = std::clamp(row, 0.0, static_cast<double>(values.rows() - 1));
    const double c = std::clamp(col, 0.0, static_cast<double>(values.cols() - 1));
    const auto j = std::min(static_cast<std::int32_t>(r), std::max(values.rows() - 2, 0));
    const auto i = std::min(static_cast<std::int32_t>(c), std::max(values.cols() - 2, 0));
    const std::int32_t below = std::min(j + 1, values.rows() - 1);
    const std::int32_t right = std::min(i + 1, values.cols() - 1);
    const auto along = [&](std::int32_t k) {
        const auto first = static_cast<double>(values(k, i));
        return first + (c - i) * (static_cast<double>(values(k, right)) - first);
    };
    const double upper = along(j);
    return upper + (r - j) * (along(below) - upper);
}

struct Carried {
    float transport = 0;  ///< m²/s
    float depth = 0;      ///< m
};

/// What the sheets carry below the height through the face between two cells: each sheet with the mean of its
/// thicknesses, from the ground up.
template <class Thickness, class Speed>
Carried carried_below(int sheets, float up_to, Thickness thickness, Speed speed) {
    Carried sum;
    for (int k = sheets - 1; k >= 0 && sum.depth < up_to; --k) {
        const float depth = std::min(thickness(k), up_to - sum.depth);
        sum.transport += depth * speed(k);
        sum.depth += depth;
    }
    return sum;
}

Field<float> ratio(const Field<float>& transport, const Field<float>& depth) {
    Field<float> speed(transport.rows(), transport.cols());
    for (std::size_t f = 0; f < speed.size(); ++f) speed[f] = depth[f] > 0 ? transport[f] / depth[f] : 0.0F;
    return speed;
}

}  // namespace

Velocity FaceFlow::at(double x, double y) const {
    const double col = x / grid.dx;
    const double row = y / grid.dy;
    return {between_points(u, row - 0.5, col), between_points(v, row, col - 0.5)};
}

Velocity FaceFlow::in_cell(std::int32_t row, std::int32_t col) const {
    return {0.5 * (static_cast<double>(u(row, col)) + static_cast<double>(u(row, col + 1))),
            0.5 * (static_cast<double>(v(row, col)) + static_cast<double>(v(row + 1, col)))};
}

LowestAir::LowestAir(const Grid& grid, double up_to)
    : grid_(grid),
      up_to_(up_to),
      transport_x_(grid.rows, grid.cols + 1, 0.0F),
      depth_x_(grid.rows, grid.cols + 1, 0.0F),
      transport_y_(grid.rows + 1, grid.cols, 0.0F),
      depth_y_(grid.rows + 1, grid.cols, 0.0F) {}

void LowestAir::add(const StackSolver<float>& solver, double seconds) {
    const auto up_to = static_cast<float>(up_to_);
    const auto weight = static_cast<float>(seconds);
    const int sheets = solver.sheets();
    const auto mean = [&solver](int k, std::int32_t ja, std::int32_t ia, std::int32_t jb, std::int32_t ib) {
        return 0.5F * (solver.thickness(k, ja, ia) + solver.thickness(k, jb, ib));
    };
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j <= grid_.rows; ++j) {
        for (std::int32_t i = 0; i <= grid_.cols; ++i) {
            if (j < grid_.rows) {
                const Carried x = carried_below(
                    sheets, up_to, [&](int k) { return mean(k, j, i - 1, j, i); },
                    [&](int k) { return solver.velocity_x(k, j, i); });
                transport_x_(j, i) += weight * x.transport;
                depth_x_(j, i) += weight * x.depth;
            }
            if (i < grid_.cols) {
                const Carried y = carried_below(
                    sheets, up_to, [&](int k) { return mean(k, j - 1, i, j, i); },
                    [&](int k) { return solver.velocity_y(k, j, i); });
                transport_y_(j, i) += weight * y.transport;
                depth_y_(j, i) += weight * y.depth;
            }
        }
    }
}

FaceFlow LowestAir::mean() const {
    return {grid_, ratio(transport_x_, depth_x_), ratio(transport_y_, depth_y_)};
}

}  // namespace lielow
