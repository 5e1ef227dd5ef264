// SPDX-License-Identifier: Apache-2.0
#include "sim/nested_hollows.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <ranges>

#include "sim/spanning_forest.hpp"

namespace lielow {
namespace {

constexpr std::int32_t kDrains = -1;

/// Passes between catchments and off the ground, from the lowest up: height above, number below, the rims'
/// numbers first; of passes at one height that over the lowest ground beyond.
std::vector<std::uint64_t> ways_in_order(const Catchments& catchments, const Field<float>& heights) {
    const std::size_t rims = catchments.pit.size();
    std::vector<std::uint64_t> ways;
    ways.reserve(catchments.tree.size() + rims / 8);
    const auto add = [&](std::uint32_t cell, std::size_t number) {
        ways.push_back((std::uint64_t{height_key(heights[cell])} << 32U) | number);
    };
    for (std::size_t c = 0; c < rims; ++c) {
        if (std::isfinite(catchments.rim_height[c])) add(catchments.rim_cell[c], c);
    }
    for (std::size_t p = 0; p < catchments.tree.size(); ++p) add(catchments.tree[p].cell, rims + p);
    const auto beyond = [&](std::uint64_t way) {
        return heights[catchments.tree[(way & 0xffffffffU) - rims].beyond];
    };
    std::sort(ways.begin(), ways.end(), [&](std::uint64_t v, std::uint64_t w) {
        const bool tied = v >> 32U == w >> 32U && std::min(v & 0xffffffffU, w & 0xffffffffU) >= rims;
        return tied && beyond(v) != beyond(w) ? beyond(v) < beyond(w) : v < w;
    });
    return ways;
}

/// Groups of catchments that hang together below the water so far.
class Joining {
  public:
    Joining(const Field<float>& z, const Catchments& catchments, std::vector<NestedHollow>& list)
        : catchments_(catchments),
          list_(list),
          group_(catchments.pit.size()),
          hollow_of_group_(catchments.pit.size()) {
        std::iota(group_.begin(), group_.end(), 0);
        std::iota(hollow_of_group_.begin(), hollow_of_group_.end(), 0);
        list_.resize(catchments.pit.size());
        list_.reserve(2 * catchments.pit.size());
        for (std::size_t c = 0; c < list_.size(); ++c) list_[c].floor_m = z[catchments.pit[c]];
    }

    void take(std::size_t way) {
        const std::size_t rims = catchments_.pit.size();
        if (way >= rims) {
            take_pass(catchments_.tree[way - rims]);
            return;
        }
        std::int32_t& hollow = hollow_of(static_cast<std::int32_t>(way));
        run_over(hollow, catchments_.rim_height[way], catchments_.rim_cell[way], -1);
        hollow = kDrains;
    }

  private:
    void take_pass(const Pass& pass) {
        std::int32_t& a = hollow_of(pass.a);
        std::int32_t& b = hollow_of(pass.b);
        run_over(a, pass.height, pass.cell, pass.b);
        run_over(b, pass.height, pass.cell, pass.a);
        if (a == kDrains || b == kDrains) {
            a = kDrains;
            b = kDrains;
            return;
        }
        const auto whole = static_cast<std::int32_t>(list_.size());
        list_[static_cast<std::size_t>(a)].within = whole;
        list_[static_cast<std::size_t>(b)].within = whole;
        list_.push_back({.parts = {a, b}, .floor_m = pass.height});
        group_[static_cast<std::size_t>(find(pass.b))] = find(pass.a);
        a = whole;
    }

    void run_over(std::int32_t hollow, float level, std::uint32_t cell, std::int32_t to) {
        if (hollow == kDrains) return;
        NestedHollow& h = list_[static_cast<std::size_t>(hollow)];
        h.spill_level_m = level;
        h.spill_cell = cell;
        h.spills_to = to;
    }

    std::int32_t find(std::int32_t c) {
        while (group_[static_cast<std::size_t>(c)] != c) {
            std::int32_t& up = group_[static_cast<std::size_t>(c)];
            up = group_[static_cast<std::size_t>(up)];
            c = up;
        }
        return c;
    }
    std::int32_t& hollow_of(std::int32_t c) { return hollow_of_group_[static_cast<std::size_t>(find(c))]; }

    const Catchments& catchments_;
    std::vector<NestedHollow>& list_;
    std::vector<std::int32_t> group_;
    std::vector<std::int32_t> hollow_of_group_;
};

/// Finds for a cell the smallest hollow that it is under water in. Each hollow knows what it is within and
/// one hollow further out, chosen so that the way outward takes a number of steps that grows with the
/// logarithm of the depth of nesting (Myers 1983, Information Processing Letters 17:241-245).
class Outward {
  public:
    explicit Outward(const std::vector<NestedHollow>& list)
        : steps_(list.size()), depth_(list.size(), 0), last_level_(list.size()) {
        for (std::size_t i = list.size(); i-- > 0;) {
            steps_[i] = {list[i].spill_level_m, list[i].within, static_cast<std::int32_t>(i)};
            last_level_[i] = list[i].spill_level_m;
            if (list[i].within < 0) continue;
            const auto up = static_cast<std::size_t>(list[i].within);
            const auto leap = static_cast<std::size_t>(steps_[up].leap);
            const auto leap2 = static_cast<std::size_t>(steps_[leap].leap);
            const bool alike = depth_[up] - depth_[leap] == depth_[leap] - depth_[leap2];
            steps_[i].leap = static_cast<std::int32_t>(alike ? leap2 : up);
            depth_[i] = depth_[up] + 1;
            last_level_[i] = last_level_[up];
        }
    }

    /// Level above which cells of the catchment are never under water.
    [[nodiscard]] float last_level(std::size_t c) const { return last_level_[c]; }

    /// For z below last_level(c).
    [[nodiscard]] std::size_t hollow_of(std::size_t c, float z) const {
        while (steps_[c].level <= z) {
            const Step& step = steps_[c];
            const bool far = steps_[static_cast<std::size_t>(step.leap)].level <= z;
            c = static_cast<std::size_t>(far ? step.leap : step.up);
        }
        return c;
    }

  private:
    struct Step {
        float level;
        std::int32_t up;
        std::int32_t leap;
    };
    std::vector<Step> steps_;
    std::vector<std::int32_t> depth_;
    std::vector<float> last_level_;
};

/// Fills in catchment_cells and, hollow by hollow, the heights of the cells under water, from the lowest up.
void sort_heights(const Field<float>& z, const Catchments& catchments, NestedHollows& out) {
    const Outward outward(out.list);
    out.catchment_cells.assign(catchments.pit.size(), 0);
    out.first_height.assign(out.list.size() + 2, 0);
    std::vector<std::uint32_t> hollow_of_wet;
    std::vector<float> wet;
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        if (catchments.of_cell[cell] < 0) continue;
        const auto c = static_cast<std::size_t>(catchments.of_cell[cell]);
        ++out.catchment_cells[c];
        if (!(z[cell] < outward.last_level(c))) continue;
        const std::size_t hollow = outward.hollow_of(c, z[cell]);
        ++out.first_height[hollow + 2];
        hollow_of_wet.push_back(static_cast<std::uint32_t>(hollow));
        wet.push_back(z[cell]);
    }
    std::partial_sum(out.first_height.begin(), out.first_height.end(), out.first_height.begin());
    out.heights.resize(wet.size());
    for (std::size_t i = 0; i < wet.size(); ++i)
        out.heights[out.first_height[hollow_of_wet[i] + 1]++] = wet[i];
    out.first_height.pop_back();
    const auto at = [&](std::size_t k) { return out.heights.begin() + static_cast<std::ptrdiff_t>(k); };
    for (std::size_t i = 0; i < out.list.size(); ++i)
        std::sort(at(out.first_height[i]), at(out.first_height[i + 1]));
}

/// Room and cells of each hollow. Only positive terms are summed, so that no digits are lost high above sea
/// level.
void measure(NestedHollows& out) {
    for (std::size_t i = 0; i < out.list.size(); ++i) {
        NestedHollow& hollow = out.list[i];
        const double level = hollow.spill_level_m;
        for (const std::int32_t part : hollow.parts) {
            if (part >= 0) hollow.cells += out.list[static_cast<std::size_t>(part)].cells;
        }
        double depth = static_cast<double>(hollow.cells) * (level - static_cast<double>(hollow.floor_m));
        for (const float z : out.heights_of(i)) depth += level - static_cast<double>(z);
        hollow.cells += static_cast<std::uint32_t>(out.heights_of(i).size());
        hollow.room_m3 = depth * out.cell_area_m2;
    }
}

}  // namespace

NestedHollows nest_hollows(const Grid& grid, const Field<float>& z, const Catchments& catchments) {
    return nest_hollows(grid, z, catchments, z);
}

NestedHollows nest_hollows(const Grid& grid, const Field<float>& z, const Catchments& catchments,
                           const Field<float>& order) {
    NestedHollows out;
    out.cell_area_m2 = grid.cell_area();
    Joining joining(z, catchments, out.list);
    for (const std::uint64_t way : ways_in_order(catchments, order))
        joining.take(static_cast<std::size_t>(way & 0xffffffffU));
    sort_heights(z, catchments, out);
    measure(out);
    return out;
}

std::vector<double> capacities_m3(const NestedHollows& hollows) {
    std::vector<double> capacity;
    capacity.reserve(hollows.list.size());
    for (const NestedHollow& hollow : hollows.list) {
        double sum = hollow.room_m3;
        for (const std::int32_t part : hollow.parts)
            if (part >= 0) sum += capacity[static_cast<std::size_t>(part)];
        capacity.push_back(sum);
    }
    return capacity;
}

std::int32_t fullest_hollow(const NestedHollows& hollows, std::int32_t c) {
    const auto at = [&](std::int32_t i) -> const NestedHollow& {
        return hollows.list[static_cast<std::size_t>(i)];
    };
    std::int32_t last = c;
    while (at(last).within >= 0) last = at(last).within;
    // Hollows whose water only touches at the last level stay apart.
    while (at(c).spill_level_m < at(last).spill_level_m) c = at(c).within;
    return c;
}

}  // namespace lielow
