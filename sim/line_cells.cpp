// SPDX-License-Identifier: Apache-2.0
#include "sim/line_cells.hpp"

#include <algorithm>
#include <cmath>

namespace lielow {
namespace {

/// Shares of the segment at which it passes from one column (row) of cells to the next, with 0 and 1.
std::vector<double> cuts_of(double from, double to) {
    std::vector<double> cuts{0.0};
    const double least = std::min(from, to);
    const double greatest = std::max(from, to);
    for (double at = std::floor(least) + 1; at < greatest; at += 1) cuts.push_back((at - from) / (to - from));
    std::sort(cuts.begin(), cuts.end());
    cuts.push_back(1.0);
    return cuts;
}

}  // namespace

std::vector<ChainLink> line_cells(const Polyline& line, const Grid& grid) {
    std::vector<ChainLink> chain;
    double passed = 0;
    for (std::size_t n = 1; n < line.size(); ++n) {
        const double length = std::hypot(line[n].x - line[n - 1].x, line[n].y - line[n - 1].y);
        if (!(length > 0)) continue;
        const double col0 = line[n - 1].x / grid.dx, col1 = line[n].x / grid.dx;
        const double row0 = line[n - 1].y / grid.dy, row1 = line[n].y / grid.dy;
        const bool along_rows = std::abs(col1 - col0) >= std::abs(row1 - row0);
        const std::vector<double> cuts = along_rows ? cuts_of(col0, col1) : cuts_of(row0, row1);
        for (std::size_t c = 1; c < cuts.size(); ++c) {
            const double middle = 0.5 * (cuts[c - 1] + cuts[c]);
            const double row = std::floor(std::lerp(row0, row1, middle));
            const double col = std::floor(std::lerp(col0, col1, middle));
            if (!(row >= 0 && row < grid.rows && col >= 0 && col < grid.cols)) continue;
            chain.push_back({static_cast<std::int32_t>(row), static_cast<std::int32_t>(col),
                             passed + cuts[c - 1] * length, passed + cuts[c] * length});
        }
        passed += length;
    }
    return chain;
}

}  // namespace lielow
