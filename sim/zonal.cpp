// SPDX-License-Identifier: Apache-2.0
#include "sim/zonal.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>
#include <vector>

namespace lielow {
namespace {

using Weighted = std::pair<float, float>;  // value, share

double weighted_median(const std::vector<Weighted>& sorted) {
    // Summed in the same order as below, so that the comparison with one half is not at the mercy of
    // rounding.
    double total = 0;
    for (const Weighted& w : sorted) total += static_cast<double>(w.second);
    double below = 0;
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        below += static_cast<double>(sorted[i].second);
        const double value = static_cast<double>(sorted[i].first);
        if (2.0 * below > total || i + 1 == sorted.size()) return value;
        if (2.0 * below == total) return 0.5 * (value + static_cast<double>(sorted[i + 1].first));
    }
    return std::numeric_limits<double>::quiet_NaN();
}

}  // namespace

ZonalFigures zonal_figures(const Grid& grid, const Field<float>& field, const Zone& zone) {
    std::vector<Weighted> known;
    known.reserve(zone.cells.size());
    double all = 0;
    double with_value = 0;
    for (std::size_t i = 0; i < zone.cells.size(); ++i) {
        const float share = zone.share[i];
        const float value = field[zone.cells[i]];
        all += static_cast<double>(share);
        if (std::isnan(value) || !(share > 0)) continue;
        with_value += static_cast<double>(share);
        known.emplace_back(value, share);
    }
    std::sort(known.begin(), known.end());
    constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();
    ZonalFigures figures{kUnknown, kUnknown, kUnknown, all * grid.cell_area(),
                         all > 0 ? with_value / all : 0.0};
    if (known.empty()) return figures;
    figures.least = static_cast<double>(known.front().first);
    figures.greatest = static_cast<double>(known.back().first);
    figures.median = weighted_median(known);
    return figures;
}

}  // namespace lielow
