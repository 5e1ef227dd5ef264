// SPDX-License-Identifier: Apache-2.0
#include "sim/catchments.hpp"

#include <algorithm>
#include <limits>
#include <string>

#include "sim/descent.hpp"
#include "sim/errors.hpp"
#include "sim/spanning_forest.hpp"

namespace lielow {
namespace {

// Rows are worked on in strips whose elevations and ways stay in a core's second-level cache.
constexpr std::size_t kStripCells = std::size_t{1} << 16U;

std::vector<Landmarks> descend_all(const Field<float>& z, Field<std::int32_t>& way) {
    const std::size_t width = std::max<std::size_t>(1, static_cast<std::size_t>(z.cols()));
    const auto height = static_cast<std::int32_t>(std::max<std::size_t>(1, kStripCells / width));
    const std::int32_t strips = z.empty() ? 0 : (z.rows() + height - 1) / height;
    std::vector<Landmarks> found(static_cast<std::size_t>(strips));
#pragma omp parallel for schedule(dynamic)
    for (std::int32_t s = 0; s < strips; ++s) {
        const std::int32_t first = s * height;
        const std::int32_t last = std::min(z.rows(), first + height);
        const Landmarks strip = find_descent(z, first, last, way);
        shorten_ways(way.all(), static_cast<std::size_t>(first) * width,
                     static_cast<std::size_t>(last) * width);
        found[static_cast<std::size_t>(s)] = strip;  // a copy holds no spare room
    }
    return found;
}

/// Joins one list of every strip into one and gives the strips' memory back.
template <class T>
std::vector<T> gather(std::vector<Landmarks>& strips, std::vector<T> Landmarks::*list) {
    std::size_t size = 0;
    for (const Landmarks& strip : strips) size += (strip.*list).size();
    std::vector<T> all;
    all.reserve(size);
    for (Landmarks& strip : strips) {
        all.insert(all.end(), (strip.*list).begin(), (strip.*list).end());
        std::vector<T>().swap(strip.*list);
    }
    return all;
}

void number_pits(const std::vector<std::uint32_t>& pits, Field<std::int32_t>& way) {
    for (std::size_t c = 0; c < pits.size(); ++c) way[pits[c]] = static_cast<std::int32_t>(c);
}

void lower_rims(const Field<float>& z, const std::vector<std::uint32_t>& rim, Catchments& out) {
    out.rim_height.assign(out.pit.size(), std::numeric_limits<float>::infinity());
    out.rim_cell.assign(out.pit.size(), 0);
    for (const std::uint32_t cell : rim) {
        const auto c = static_cast<std::size_t>(out.of_cell[cell]);
        if (z[cell] >= out.rim_height[c]) continue;
        out.rim_height[c] = z[cell];
        out.rim_cell[c] = cell;
    }
}

/// Where the ground falls away from one cell on three sides or four, water takes the lowest first.
void order_last(const Field<float>& z, const std::vector<Saddle>& saddles,
                std::vector<Candidate>& candidates) {
    for (std::size_t k = candidates.size() - 1; k > 0; --k) {
        const Saddle& before = saddles[candidates[k - 1].id];
        const Saddle& last = saddles[candidates[k].id];
        if (before.cell != last.cell || !(z[last.beyond] < z[before.beyond])) return;
        std::swap(candidates[k - 1], candidates[k]);
    }
}

std::vector<Pass> forest_over(const Field<float>& z, const std::vector<Saddle>& saddles,
                              const Catchments& catchments) {
    const auto& of = catchments.of_cell;
    std::vector<Candidate> candidates;
    candidates.reserve(saddles.size());
    for (std::uint32_t s = 0; s < saddles.size(); ++s) {
        const auto [cell, beyond] = saddles[s];
        if (of[cell] == of[beyond]) continue;
        candidates.push_back({of[cell], of[beyond], height_key(z[cell]), s});
        order_last(z, saddles, candidates);
    }
    const std::vector<std::uint8_t> used =
        spanning_forest(catchments.pit.size(), saddles.size(), std::move(candidates));
    std::vector<Pass> forest;
    forest.reserve(catchments.pit.size());
    for (std::size_t s = 0; s < saddles.size(); ++s) {
        const auto [cell, beyond] = saddles[s];
        if (used[s] != 0) forest.push_back({of[cell], of[beyond], z[cell], cell, beyond});
    }
    return forest;
}

}  // namespace

Catchments find_catchments(const Grid& grid, const Field<float>& z) {
    if (grid.cells() > std::size_t{std::numeric_limits<std::int32_t>::max()} - 2) {
        throw InputError("the ground has " + std::to_string(grid.cells()) +
                         " cells, more than 2147483645; cut it or take coarser cells");
    }
    Catchments out;
    out.of_cell = Field<std::int32_t>(grid.rows, grid.cols);
    std::vector<Landmarks> strips = descend_all(z, out.of_cell);
    out.pit = gather(strips, &Landmarks::pits);
    number_pits(out.pit, out.of_cell);
    follow_ways(out.of_cell.all());
    lower_rims(z, gather(strips, &Landmarks::rim), out);
    out.tree = rooted(out.pit.size(), forest_over(z, gather(strips, &Landmarks::saddles), out));
    return out;
}

}  // namespace lielow
