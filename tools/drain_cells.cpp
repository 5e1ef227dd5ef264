// SPDX-License-Identifier: Apache-2.0
#include "tools/drain_cells.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/ground_changes.hpp"
#include "tools/read_ground.hpp"

namespace lielow {
namespace {

std::size_t block_of(const Grid& coarse, const Blocks& blocks, std::int32_t row, std::int32_t col) {
    return coarse.index(row / blocks.rows, col / blocks.cols);
}

/// Mean over each block of f(value) where there is ground; NaN for none.
template <class F>
Field<float> means(const SiteRun& run, const Blocks& blocks, const Field<float>& values, F f) {
    const Grid& fine = run.dem.ground.grid;
    const Grid coarse = block_grid(fine, blocks);
    Field<double> sum(coarse.rows, coarse.cols, 0.0);
    Field<std::int32_t> count(coarse.rows, coarse.cols, 0);
    for (std::int32_t r = 0; r < fine.rows; ++r) {
        for (std::int32_t c = 0; c < fine.cols; ++c) {
            if (std::isnan(run.dem.ground.z(r, c)) || std::isnan(values(r, c))) continue;
            const std::size_t block = block_of(coarse, blocks, r, c);
            sum[block] += f(static_cast<double>(values(r, c)));
            ++count[block];
        }
    }
    Field<float> mean(coarse.rows, coarse.cols, std::numeric_limits<float>::quiet_NaN());
    for (std::size_t b = 0; b < mean.size(); ++b) {
        if (count[b] > 0) mean[b] = static_cast<float>(sum[b] / count[b]);
    }
    return mean;
}

Field<float> plain_means(const SiteRun& run, const Blocks& blocks, const Field<float>& values) {
    return means(run, blocks, values, [](double v) { return v; });
}

Field<float> geometric_means(const SiteRun& run, const Blocks& blocks, const Field<float>& values) {
    Field<float> mean = means(run, blocks, values, [](double v) { return std::log(v); });
    for (float& v : mean.all()) v = std::exp(v);
    return mean;
}

Dem dem_on_blocks(const SiteRun& run, const Blocks& blocks) {
    Dem dem;
    dem.geo = run.dem.geo;
    auto& t = dem.geo.transform;
    t[1] *= blocks.cols;
    t[4] *= blocks.cols;
    t[2] *= blocks.rows;
    t[5] *= blocks.rows;
    dem.ground.grid = block_grid(run.dem.ground.grid, blocks);
    // Ditches and banks are narrower than a block: they count in its mean.
    Field<float> changed = run.dem.ground.z.clone();
    for (const GroundChange& change : run.changes) change_ground(run.dem.ground.grid, change, changed);
    dem.ground.z = plain_means(run, blocks, changed);
    dem.ground.known = Field<std::uint8_t>(dem.ground.grid.rows, dem.ground.grid.cols, std::uint8_t{0});
    for (std::size_t b = 0; b < dem.ground.z.size(); ++b)
        dem.ground.known[b] = std::isnan(dem.ground.z[b]) ? 0 : 1;
    return dem;
}

}  // namespace

Blocks drain_blocks(const SiteRun& run) {
    const Grid& grid = run.dem.ground.grid;
    const double cell = run.site.drain.cell_m;
    const auto times = [cell](double size, std::int32_t count) {
        return std::clamp(static_cast<std::int32_t>(std::lround(cell / size)), 1, std::max(1, count / 3));
    };
    return {times(grid.dy, grid.rows), times(grid.dx, grid.cols)};
}

SiteRun run_on_blocks(SiteRun& run, const Blocks& blocks) {
    Dem dem = dem_on_blocks(run, blocks);
    std::vector<std::string> told_already;
    std::vector<FarmField> fields = read_site_fields(run.site, dem, told_already);
    return {run.site, run.progress, run.staging, std::move(dem), std::move(fields), {}, {}, {}, {}, {}};
}

Soil soil_on_blocks(const SiteRun& run, const Soil& soil, const Blocks& blocks) {
    return {geometric_means(run, blocks, soil.conductivity_m_s),
            plain_means(run, blocks, soil.drainable_porosity), plain_means(run, blocks, soil.floor_depth_m)};
}

Field<float> on_cells(const Grid& fine, const Blocks& blocks, const Field<float>& values) {
    const Grid coarse = block_grid(fine, blocks);
    Field<float> cells(fine.rows, fine.cols);
    for (std::int32_t r = 0; r < fine.rows; ++r) {
        for (std::int32_t c = 0; c < fine.cols; ++c) cells(r, c) = values[block_of(coarse, blocks, r, c)];
    }
    return cells;
}

}  // namespace lielow
