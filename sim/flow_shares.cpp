// SPDX-License-Identifier: Apache-2.0
#include "sim/flow_shares.hpp"

#include <cmath>
#include <limits>
#include <numbers>

namespace lielow {
namespace {

/// Facet between a side and a corner, in the order and with the signs of Tarboton's table 1: the angle is
/// turn · r + quarters · π/2.
struct Facet {
    std::uint8_t side;
    std::uint8_t corner;
    bool along_row;  // the side lies along the row
    double quarters;
    double turn;
};
constexpr std::array<Facet, 8> kFacets{{{4, 2, true, 0, 1},
                                        {1, 2, false, 1, -1},
                                        {1, 0, false, 1, 1},
                                        {3, 0, true, 2, -1},
                                        {3, 5, true, 2, 1},
                                        {6, 5, false, 3, -1},
                                        {6, 7, false, 3, 1},
                                        {4, 7, true, 4, -1}}};

std::array<double, 8> weights(const Grid& grid, const Surroundings& at, FlowSplit split) {
    std::array<double, 8> weight{};
    for (std::size_t k = 0; k < 8; ++k) {
        const bool corner = kNeighbours[k].down != 0 && kNeighbours[k].across != 0;
        const double distance = std::hypot(kNeighbours[k].down * grid.dy, kNeighbours[k].across * grid.dx);
        const double slope = (at.z - at.around[k]) / distance;
        if (!(slope > 0)) continue;
        // Contour lengths: half a side, or a quarter of a diagonal (Quinn's 0.354 of a square cell's side).
        const double across = kNeighbours[k].down != 0 ? grid.dx : grid.dy;
        const double contour = corner ? 0.25 * std::hypot(grid.dx, grid.dy) : 0.5 * across;
        weight[k] = split == FlowSplit::power ? std::pow(slope, 1.1) : slope * contour;
    }
    return weight;
}

}  // namespace

FacetFall steepest_facet(const Grid& grid, const Surroundings& at) {
    constexpr double quarter = 0.5 * std::numbers::pi;
    FacetFall best;
    const double diagonal = std::hypot(grid.dx, grid.dy);
    const Facet* steepest = nullptr;
    double best_s1 = 0;
    double best_s2 = 0;
    for (const Facet& facet : kFacets) {
        const double d1 = facet.along_row ? grid.dx : grid.dy;
        const double d2 = facet.along_row ? grid.dy : grid.dx;
        double s1 = (at.z - at.around[facet.side]) / d1;
        double s2 = (at.around[facet.side] - at.around[facet.corner]) / d2;
        double slope = 0;
        if (s2 <= 0) {  // down the side
            slope = s1;
            s2 = 0;
        } else if (s2 * d1 >= s1 * d2) {  // down the corner
            slope = (at.z - at.around[facet.corner]) / diagonal;
            s1 = d1;
            s2 = d2;
        } else {
            slope = std::sqrt(s1 * s1 + s2 * s2);
        }
        if (!(slope > best.slope) || std::isnan(s1 + s2)) continue;
        best.slope = slope;
        steepest = &facet;
        best_s1 = s1;
        best_s2 = s2;
    }
    if (steepest == nullptr) return best;
    const double widest =
        std::atan2(steepest->along_row ? grid.dy : grid.dx, steepest->along_row ? grid.dx : grid.dy);
    const double r = std::atan2(best_s2, best_s1);
    best.side = steepest->side;
    best.corner = steepest->corner;
    best.angle_rad = std::fmod(steepest->turn * r + steepest->quarters * quarter, 4 * quarter);
    best.corner_share = r / widest;
    return best;
}

std::array<double, 8> flow_shares(const Grid& grid, const Surroundings& at, FlowSplit split) {
    if (split == FlowSplit::facets) {
        std::array<double, 8> share{};
        const FacetFall fall = steepest_facet(grid, at);
        if (!(fall.slope > 0)) return share;
        share[fall.side] = 1 - fall.corner_share;
        share[fall.corner] = fall.corner_share;
        return share;
    }
    std::array<double, 8> share = weights(grid, at, split);
    if (split == FlowSplit::single) {
        std::size_t best = 0;
        double steepest = 0;
        for (std::size_t k = 0; k < 8; ++k) {
            const double slope = (at.z - at.around[k]) /
                                 std::hypot(kNeighbours[k].down * grid.dy, kNeighbours[k].across * grid.dx);
            if (!(slope > steepest)) continue;
            steepest = slope;
            best = k;
        }
        share = {};
        share[best] = steepest > 0 ? 1 : 0;
        return share;
    }
    double sum = 0;
    for (const double w : share) sum += w;
    if (sum > 0) {
        for (double& w : share) w /= sum;
    }
    return share;
}

Surroundings surroundings(const Field<float>& surface, std::size_t cell) {
    Surroundings at;
    at.z = static_cast<double>(surface[cell]);
    for (std::uint8_t k = 0; k < 8; ++k) {
        const std::size_t n = neighbour_cell(surface.rows(), surface.cols(), cell, k);
        at.around[k] = n == cell ? std::numeric_limits<double>::quiet_NaN() : static_cast<double>(surface[n]);
    }
    return at;
}

}  // namespace lielow
