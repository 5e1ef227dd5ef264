// SPDX-License-Identifier: Apache-2.0
// A field's ground by class and by reason, with the figures that decide.
#include <algorithm>
#include <cmath>
#include <map>

#include "sim/siting.hpp"

namespace lielow {
namespace {

struct Members {
    std::vector<std::size_t> at;  ///< places in the zone
    double area = 0;              ///< in cells
};

/// Class, and reasons in their order.
using PartKey = std::pair<std::uint8_t, std::uint8_t>;

/// Mean place of some of a zone's cells, and the box around all of it, in cells.
struct Place {
    double col = 0;
    double row = 0;
};

Place mean_place(const Grid& grid, const Zone& zone, const std::vector<std::size_t>& at) {
    Place sum;
    double all = 0;
    for (const std::size_t i : at) {
        const auto share = static_cast<double>(zone.share[i]);
        const std::uint32_t cell = zone.cells[i];
        sum.col += share * (cell % static_cast<std::uint32_t>(grid.cols));
        const std::uint32_t row = cell / static_cast<std::uint32_t>(grid.cols);
        sum.row += share * row;
        all += share;
    }
    return all > 0 ? Place{sum.col / all, sum.row / all} : sum;
}

/// Half the width and height of the box around the zone, in cells, at least half a cell.
Place half_box(const Grid& grid, const Zone& zone) {
    Place least{static_cast<double>(grid.cols), static_cast<double>(grid.rows)};
    Place most;
    for (const std::uint32_t cell : zone.cells) {
        const double col = cell % static_cast<std::uint32_t>(grid.cols);
        const std::uint32_t row = cell / static_cast<std::uint32_t>(grid.cols);
        least = {std::min(least.col, col), std::min(least.row, static_cast<double>(row))};
        most = {std::max(most.col, col), std::max(most.row, static_cast<double>(row))};
    }
    return {std::max(0.5, (most.col - least.col + 1) / 2), std::max(0.5, (most.row - least.row + 1) / 2)};
}

double median_of(std::vector<std::pair<double, double>> values) {
    std::sort(values.begin(), values.end());
    double all = 0;
    for (const auto& [value, weight] : values) all += weight;
    double below = 0;
    for (const auto& [value, weight] : values) {
        below += weight;
        if (2 * below >= all) return value;
    }
    return std::numeric_limits<double>::quiet_NaN();
}

/// The evidence of the part's factor that says the part's class on most of it, and the median of its figure
/// where it does.
void name_figure(const std::vector<SitingEvidence>& evidence, const Zone& zone, const Members& members,
                 SitingPart& part) {
    part.median = std::numeric_limits<double>::quiet_NaN();
    if (part.reason == no_reason || part.siting == SitingClass::unknown) return;
    double most = 0;
    for (const SitingEvidence& e : evidence) {
        if (static_cast<int>(e.factor) + 1 != part.reason) continue;
        std::vector<std::pair<double, double>> values;
        double weight = 0;
        for (const std::size_t i : members.at) {
            const double value = e.value(zone.cells[i]);
            if (siting_class(e.limits, value) != part.siting) continue;
            values.emplace_back(value, static_cast<double>(zone.share[i]));
            weight += values.back().second;
        }
        if (weight <= most) continue;
        most = weight;
        part.figure = e.name;
        part.median = median_of(std::move(values));
    }
}

/// Other factors may say the same: who mends the first reason meets them next.
void count_others(const Siting& siting, const Zone& zone, const Members& members, double cell_area,
                  SitingPart& part) {
    if (part.siting != SitingClass::with_work && part.siting != SitingClass::not_here) return;
    for (const std::size_t i : members.at) {
        for (std::size_t f = 0; f < siting_factors; ++f) {
            if (siting.of(zone.cells[i], static_cast<SitingFactor>(f)) == part.siting)
                part.also_m2[f] += static_cast<double>(zone.share[i]) * cell_area;
        }
    }
}

std::vector<SitingPart> parts_of(const Grid& grid, const Siting& siting,
                                 const std::map<PartKey, Members>& members,
                                 const std::vector<SitingEvidence>& evidence, const Zone& zone,
                                 const std::vector<std::size_t>& ground) {
    const Place middle = mean_place(grid, zone, ground);
    const Place half = half_box(grid, zone);
    std::vector<SitingPart> parts;
    for (const auto& [key, of] : members) {
        const Place place = mean_place(grid, zone, of.at);
        SitingPart part;
        part.siting = static_cast<SitingClass>(key.first);
        part.reason = key.second;
        part.area_m2 = of.area * grid.cell_area();
        part.x_offset = (place.col - middle.col) / half.col;
        part.y_offset = (place.row - middle.row) / half.row;
        name_figure(evidence, zone, of, part);
        count_others(siting, zone, of, grid.cell_area(), part);
        parts.push_back(std::move(part));
    }
    std::stable_sort(parts.begin(), parts.end(), [](const SitingPart& a, const SitingPart& b) {
        return a.siting != b.siting ? a.siting < b.siting : a.area_m2 > b.area_m2;
    });
    return parts;
}

}  // namespace

FieldSiting field_siting(const Grid& grid, const Siting& siting, const std::vector<SitingEvidence>& evidence,
                         const SitingRule& rule, const Zone& zone) {
    FieldSiting field;
    std::map<PartKey, Members> members;
    std::vector<std::size_t> ground;
    for (std::size_t i = 0; i < zone.cells.size(); ++i) {
        const std::size_t cell = zone.cells[i];
        const auto found = static_cast<SitingClass>(siting.siting[cell]);
        if (found == SitingClass::no_ground) continue;
        ground.push_back(i);
        const auto share = static_cast<double>(zone.share[i]);
        field.ground_m2 += share;
        field.area_m2[static_cast<std::size_t>(found)] += share;
        Members& of = members[{siting.siting[cell], siting.reason[cell]}];
        of.at.push_back(i);
        of.area += share;
        if (found != SitingClass::unknown) continue;
        for (std::size_t f = 0; f < siting_factors; ++f) {
            if (lacks_factor(siting, rule, cell, static_cast<SitingFactor>(f))) field.lacking_m2[f] += share;
        }
        if (const auto so_far = static_cast<std::size_t>(known_siting(siting, cell)); so_far < 3)
            field.by_known_m2[so_far] += share;
    }
    const double cell_area = grid.cell_area();
    field.ground_m2 *= cell_area;
    for (double& area : field.area_m2) area *= cell_area;
    for (double& area : field.lacking_m2) area *= cell_area;
    for (double& area : field.by_known_m2) area *= cell_area;
    field.parts = parts_of(grid, siting, members, evidence, zone, ground);
    return field;
}

}  // namespace lielow
