// SPDX-License-Identifier: Apache-2.0
#include "sim/storm_fill.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/errors.hpp"
#include "sim/fill_route.hpp"

namespace lielow {
namespace {

/// Water in each hollow beyond its parts', m³, and where the next drop goes.
class Pouring {
  public:
    explicit Pouring(const NestedHollows& hollows)
        : hollows_(hollows), route_(hollows), held_(hollows.list.size(), 0.0) {}

    void pour(std::int32_t catchment, double amount) {
        std::int32_t hollow = catchment;
        while (amount > 0) {
            hollow = route_.end_of(hollow);
            if (hollow == FillRoute::off_ground) {
                left_ground_ += amount;
                return;
            }
            const auto h = static_cast<std::size_t>(hollow);
            const double room = hollows_.list[h].room_m3 - held_[h];
            held_[h] = amount < room ? held_[h] + amount : hollows_.list[h].room_m3;
            if (amount >= room) route_.set_full(hollow);
            amount -= room;
        }
    }

    StormPonds result() {
        StormPonds ponds;
        ponds.left_ground_m3 = left_ground_;
        for (const double held : held_) ponds.ponded_m3 += held;
        std::vector<double> level(hollows_.list.size(), std::numeric_limits<double>::quiet_NaN());
        for (std::size_t c = 0; c < hollows_.catchments(); ++c) {
            const std::int32_t around = route_.around(static_cast<std::int32_t>(c));
            double& known = level[static_cast<std::size_t>(around)];
            if (std::isnan(known)) {
                known = level_of(around);
                const double area = full_area(around);
                ponds.full_area_squares_m4 += area * area;
            }
            ponds.level_of_catchment.push_back(known);
        }
        return ponds;
    }

  private:
    [[nodiscard]] double full_area(std::int32_t hollow) const {
        const NestedHollow& h = hollows_.list[static_cast<std::size_t>(hollow)];
        return route_.full(hollow) ? static_cast<double>(h.cells) * hollows_.cell_area_m2 : 0.0;
    }

    /// Heights are counted from the hollow's floor, so that no digits are lost high above sea level.
    [[nodiscard]] double level_of(std::int32_t hollow) const {
        const auto h = static_cast<std::size_t>(hollow);
        const NestedHollow& shape = hollows_.list[h];
        const double floor = shape.floor_m;
        if (route_.full(hollow)) return shape.spill_level_m;
        if (!(held_[h] > 0)) return floor;
        const auto heights = hollows_.heights_of(h);
        double cells = static_cast<double>(shape.cells) - static_cast<double>(heights.size());
        double sum = held_[h] / hollows_.cell_area_m2;  // water and the ground under it, above the floor
        std::size_t k = 0;
        for (; k < heights.size(); ++k) {
            const double z = static_cast<double>(heights[k]) - floor;
            if (z * cells >= sum) break;
            cells += 1;
            sum += z;
        }
        return std::min<double>(floor + sum / cells, shape.spill_level_m);
    }

    const NestedHollows& hollows_;
    FillRoute route_;
    std::vector<double> held_;
    double left_ground_ = 0;
};

}  // namespace

std::vector<double> runoff_by_catchment(const Grid& grid, const Catchments& catchments,
                                        const Field<float>& runoff_m) {
    std::vector<double> runoff(catchments.pit.size(), 0.0);
    for (std::size_t cell = 0; cell < runoff_m.size(); ++cell) {
        const std::int32_t c = catchments.of_cell[cell];
        if (c >= 0 && !std::isnan(runoff_m[cell]))
            runoff[static_cast<std::size_t>(c)] += static_cast<double>(runoff_m[cell]);
    }
    for (double& water : runoff) water *= grid.cell_area();
    return runoff;
}

std::vector<double> runoff_by_catchment(const NestedHollows& hollows, double runoff_m) {
    std::vector<double> runoff;
    runoff.reserve(hollows.catchments());
    for (const std::uint32_t cells : hollows.catchment_cells)
        runoff.push_back(static_cast<double>(cells) * hollows.cell_area_m2 * runoff_m);
    return runoff;
}

StormPonds fill_from_runoff(const NestedHollows& hollows, std::span<const double> runoff_m3) {
    if (runoff_m3.size() != hollows.catchments())
        throw InputError("runoff must be given for every catchment, once");
    Pouring pouring(hollows);
    for (std::size_t c = 0; c < runoff_m3.size(); ++c) {
        if (!(runoff_m3[c] >= 0 && std::isfinite(runoff_m3[c])))
            throw InputError("runoff must be a number that isn't negative");
        pouring.pour(static_cast<std::int32_t>(c), runoff_m3[c]);
    }
    return pouring.result();
}

Field<float> pond_depth(const Field<float>& z, const Catchments& catchments, const StormPonds& ponds) {
    Field<float> depth(z.rows(), z.cols());
#pragma omp parallel for schedule(dynamic, 65536)
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        const std::int32_t c = catchments.of_cell[cell];
        depth[cell] = std::numeric_limits<float>::quiet_NaN();
        if (c < 0) continue;
        const double level = ponds.level_of_catchment[static_cast<std::size_t>(c)];
        depth[cell] = static_cast<float>(std::max(0.0, level - static_cast<double>(z[cell])));
    }
    return depth;
}

double volume_error_m3(const StormPonds& ponds, double vertical_m) {
    return vertical_m * std::sqrt(ponds.full_area_squares_m4);
}

}  // namespace lielow
