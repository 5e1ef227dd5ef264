// SPDX-License-Identifier: Apache-2.0
#include "tools/bench_ground.hpp"

#include <cmath>
#include <vector>

namespace lielow {
namespace {

constexpr std::int32_t coarsest = 1024;
/// Between two octaves the spread shrinks by 2^roughness; 0.8 looks like farm land.
constexpr double roughness = 0.8;

/// In [-0.5, 0.5), from a knot's place. Whole-number arithmetic, so that no machine differs.
float knot_height(std::int32_t row, std::int32_t col, std::int32_t spacing) {
    std::uint32_t x = static_cast<std::uint32_t>(row) * 0x9E3779B1U ^
                      static_cast<std::uint32_t>(col) * 0x85EBCA77U ^
                      static_cast<std::uint32_t>(spacing) * 0xC2B2AE3DU;
    for (const std::uint32_t factor : {0x7FEB352DU, 0x846CA68BU}) {
        x ^= x >> 16U;
        x *= factor;
    }
    x ^= x >> 16U;
    return static_cast<float>(x >> 8U) * 0x1p-24F - 0.5F;
}

void add_octave(Field<float>& z, std::int32_t row, std::int32_t spacing, float spread) {
    const std::int32_t knots = z.cols() / spacing + 2;
    const std::int32_t above = row / spacing;
    const float down = static_cast<float>(row % spacing) / static_cast<float>(spacing);
    std::vector<float> line(static_cast<std::size_t>(knots));
    for (std::int32_t k = 0; k < knots; ++k) {
        const float upper = knot_height(above, k, spacing);
        const float lower = knot_height(above + 1, k, spacing);
        line[static_cast<std::size_t>(k)] = spread * (upper + down * (lower - upper));
    }
    for (std::int32_t col = 0; col < z.cols(); ++col) {
        const auto k = static_cast<std::size_t>(col / spacing);
        const float along = static_cast<float>(col % spacing) / static_cast<float>(spacing);
        z(row, col) += line[k] + along * (line[k + 1] - line[k]);
    }
}

}  // namespace

Field<float> rolling_ground(std::int32_t side, float relief) {
    Field<float> z(side, side, 0.0F);
#pragma omp parallel for schedule(static)
    for (std::int32_t row = 0; row < side; ++row) {
        for (std::int32_t spacing = coarsest; spacing >= 1; spacing /= 2) {
            const double share = std::pow(static_cast<double>(spacing) / coarsest, roughness);
            add_octave(z, row, spacing, relief * static_cast<float>(share));
        }
    }
    return z;
}

}  // namespace lielow
