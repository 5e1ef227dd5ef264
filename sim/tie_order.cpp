// SPDX-License-Identifier: Apache-2.0
#include "sim/tie_order.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <limits>
#include <numeric>
#include <span>
#include <vector>

#include "sim/errors.hpp"
#include "sim/neighbours.hpp"
#include "sim/spanning_forest.hpp"

namespace lielow {
namespace {

/// Positive floats order as their bits do: that of the smallest normal one is the first number.
constexpr std::uint32_t kFirst = 0x00800000U;
constexpr std::uint32_t kMost = 0x7f800000U - kFirst - 1;

/// Elevation above, cell number below, in the order of elevations and then of numbers: counted out by the
/// lower, middle and upper bits of the elevation in turn (radix sort).
std::vector<std::uint64_t> by_elevation(const Field<float>& z) {
    std::vector<std::uint64_t> cells;
    cells.reserve(z.size());
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        if (!std::isnan(z[cell])) cells.push_back((std::uint64_t{height_key(z[cell])} << 32U) | cell);
    }
    std::vector<std::uint64_t> sorted(cells.size());
    constexpr std::uint64_t kDigit = 2047;  // eleven bits
    for (const std::uint32_t shift : {32U, 43U, 54U}) {
        std::vector<std::size_t> first(kDigit + 2, 0);
        for (const std::uint64_t cell : cells) ++first[((cell >> shift) & kDigit) + 1];
        std::partial_sum(first.begin(), first.end(), first.begin());
        for (const std::uint64_t cell : cells) sorted[first[(cell >> shift) & kDigit]++] = cell;
        cells.swap(sorted);
    }
    return cells;
}

/// Steps over level ground to a cell beside lower ground or the ground's edge.
class StepsToLower {
  public:
    static constexpr std::int32_t no_way_out = std::numeric_limits<std::int32_t>::max();

    explicit StepsToLower(const Field<float>& z) : z_(z), steps_(z.rows(), z.cols(), no_way_out) {
        for (std::size_t cell = 0; cell < z.size(); ++cell) start_from(cell);
        for (std::size_t k = 0; k < front_.size(); ++k) {
            const std::uint32_t cell = front_[k];
            for_each_neighbour(cell, z.rows(), z.cols(), [&](std::size_t n) {
                if (z[n] != z[cell] || steps_[n] != no_way_out) return;
                steps_[n] = steps_[cell] + 1;
                front_.push_back(static_cast<std::uint32_t>(n));
            });
        }
    }
    [[nodiscard]] std::int32_t at(std::uint32_t cell) const { return steps_[cell]; }

  private:
    void start_from(std::size_t cell) {
        bool level = false;
        bool lower = false;
        int around = 0;
        for_each_neighbour(cell, z_.rows(), z_.cols(), [&](std::size_t n) {
            level |= z_[n] == z_[cell];
            lower |= z_[n] < z_[cell];
            around += std::isnan(z_[n]) ? 0 : 1;
        });
        const bool out = lower || around < 8;
        if (out || !level) steps_[cell] = 0;
        if (out && level) front_.push_back(static_cast<std::uint32_t>(cell));
    }
    const Field<float>& z_;
    Field<std::int32_t> steps_;
    std::vector<std::uint32_t> front_;
};

/// Mean elevation on the square ring `radius` cells away, +inf where nothing is known there. The sum of so
/// few floats of like size is exact in double, whatever their order.
double mean_on_ring(const Field<float>& z, std::uint32_t cell, std::int32_t radius) {
    const auto row = static_cast<std::int32_t>(cell / static_cast<std::uint32_t>(z.cols()));
    const auto col = static_cast<std::int32_t>(cell % static_cast<std::uint32_t>(z.cols()));
    double sum = 0;
    int known = 0;
    const bool inside = row >= radius && row + radius < z.rows() && col >= radius && col + radius < z.cols();
    const auto add = [&](std::int32_t r, std::int32_t c) {
        if (!inside && (r < 0 || r >= z.rows() || c < 0 || c >= z.cols())) return;
        if (std::isnan(z(r, c))) return;
        sum += static_cast<double>(z(r, c));
        ++known;
    };
    for (std::int32_t by = -radius; by < radius; ++by) {
        add(row - radius, col + by);
        add(row + by, col + radius);
        add(row + radius, col - by);
        add(row - by, col - radius);
    }
    return known > 0 ? sum / known : std::numeric_limits<double>::infinity();
}

struct Tied {
    double lean;
    std::int32_t steps;
    std::uint32_t cell;
};

/// Sorts cells at equal steps from each other (if any) by the mean on a ring, then on the next wider one.
void order_by_rings(const Field<float>& z, std::span<Tied> tied, std::size_t ring) {
    constexpr std::array<std::int32_t, 4> radii{1, 2, 4, 8};
    // A basin's level floor: nothing hangs on it, and there may be much of it.
    const auto on_floor = [](const Tied& t) { return t.steps == StepsToLower::no_way_out; };
    for (Tied& t : tied) t.lean = on_floor(t) ? 0.0 : mean_on_ring(z, t.cell, radii[ring]);
    std::sort(tied.begin(), tied.end(), [](const Tied& a, const Tied& b) {
        if (a.steps != b.steps) return a.steps < b.steps;
        return a.lean != b.lean ? a.lean < b.lean : a.cell < b.cell;
    });
    if (ring + 1 == radii.size()) return;
    for (std::size_t first = 0; first < tied.size() && !on_floor(tied[first]);) {
        std::size_t last = first + 1;
        while (last < tied.size() && tied[last].steps == tied[first].steps &&
               tied[last].lean == tied[first].lean)
            ++last;
        if (last - first > 1) order_by_rings(z, tied.subspan(first, last - first), ring + 1);
        first = last;
    }
}

/// Puts equally high cells into their order.
void order_run(const Field<float>& z, const StepsToLower& steps, std::span<std::uint64_t> run,
               std::vector<Tied>& tied) {
    tied.clear();
    for (const std::uint64_t entry : run) {
        const auto cell = static_cast<std::uint32_t>(entry);
        tied.push_back({0, steps.at(cell), cell});
    }
    order_by_rings(z, tied, 0);
    for (std::size_t i = 0; i < run.size(); ++i) run[i] = tied[i].cell;
}

}  // namespace

Field<float> order_ties(const Field<float>& z) {
    std::vector<std::uint64_t> cells = by_elevation(z);
    if (cells.size() > kMost) throw InputError("the ground has more than 2130706431 cells; cut it");
    const StepsToLower steps(z);
    std::vector<Tied> tied;
    for (std::size_t first = 0; first < cells.size();) {
        std::size_t last = first + 1;
        while (last < cells.size() && cells[last] >> 32U == cells[first] >> 32U) ++last;
        if (last - first > 1) order_run(z, steps, {&cells[first], last - first}, tied);
        first = last;
    }
    Field<float> order(z.rows(), z.cols(), std::numeric_limits<float>::quiet_NaN());
    for (std::size_t i = 0; i < cells.size(); ++i)
        order[cells[i] & 0xffffffffU] = std::bit_cast<float>(kFirst + static_cast<std::uint32_t>(i));
    return order;
}

Catchments find_catchments(const Grid& grid, const Field<float>& z, const Field<float>& order) {
    Catchments out = find_catchments(grid, order);
    for (Pass& pass : out.tree) pass.height = z[pass.cell];
    for (std::size_t c = 0; c < out.pit.size(); ++c) {
        if (std::isfinite(out.rim_height[c])) out.rim_height[c] = z[out.rim_cell[c]];
    }
    return out;
}

}  // namespace lielow
