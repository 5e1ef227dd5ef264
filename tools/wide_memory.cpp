// SPDX-License-Identifier: Apache-2.0
#include "tools/wide_memory.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <limits>

#include "io/wide_ground.hpp"
#include "sim/errors.hpp"
#include "sim/night_map.hpp"
#include "sim/sheet_array.hpp"

namespace lielow {
namespace {

// The program, GDAL's block cache of 256 MB and the strips it reads, bytes: as measured, rounded up.
constexpr std::uint64_t kBesides = 450'000'000;
// What sim/tile_*.hpp say they hold at most, and what is read or written besides, bytes.
constexpr std::uint64_t kPerCell = 36;
constexpr std::uint64_t kPerBorderCell = 160;

std::uint64_t bytes_for(const Grid& grid, std::int32_t side) {
    const TileCut cut(grid, side);
    const Window largest = cut.tile(0);
    const std::uint64_t borders =
        2 * (grid.cells() / static_cast<std::uint64_t>(side) * 2 + static_cast<std::uint64_t>(grid.rows) +
             static_cast<std::uint64_t>(grid.cols));
    return kBesides + kPerCell * largest.cells() + kPerBorderCell * borders;
}

}  // namespace

std::uint64_t parse_memory(std::string_view text) {
    struct Unit {
        std::string_view name;
        double bytes;
    };
    constexpr std::array<Unit, 4> units{
        {{"MB", 1e6}, {"GB", 1e9}, {"MiB", 1048576.0}, {"GiB", 1073741824.0}}};
    double number = 0;
    const auto [rest, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    std::string_view unit(rest, static_cast<std::size_t>(text.data() + text.size() - rest));
    unit.remove_prefix(std::min(unit.find_first_not_of(' '), unit.size()));
    const auto* known =
        std::find_if(units.begin(), units.end(), [&](const Unit& u) { return u.name == unit; });
    if (error != std::errc{} || !(number > 0) || !(number < 1e9) || known == units.end())
        throw InputError(fmt::format(
            R"(--memory "{}" is no amount of memory; give a number and MB, GB, MiB or GiB, as "2 GB")",
            text));
    return static_cast<std::uint64_t>(number * known->bytes);
}

std::int32_t tile_side(const Grid& grid, std::uint64_t memory) {
    constexpr std::int32_t kMost = 32768;  // cells of a tile are counted in 32 bits
    constexpr std::int32_t step = ScratchRaster::block;
    std::uint64_t least = std::numeric_limits<std::uint64_t>::max();
    std::int32_t best = 0;
    for (std::int32_t side = step; side <= kMost; side += step) {
        const std::uint64_t bytes = bytes_for(grid, side);
        least = std::min(least, bytes);
        if (bytes <= memory) best = side;
        if (side >= grid.rows && side >= grid.cols) break;
    }
    if (best == 0)
        throw InputError(fmt::format(
            "--memory is too little for one tile of this DEM of {} by {} cells; give at least {:.0f} MB",
            grid.rows, grid.cols, std::ceil(static_cast<double>(least) / 1e6)));
    return best;
}

std::uint64_t night_bytes(const NightPlan& plan) {
    // Thickness, two velocities and two fluxes, rise, all but the last three twice; the coldest moment and
    // the state at sunrise besides.
    constexpr std::uint64_t solver_arrays = 9;
    constexpr std::uint64_t kept_arrays = 2;
    constexpr std::uint64_t per_cell =
        200;  // ground, loss, drag, shelter of every hour, sky: measured, rounded up
    const auto sheets = static_cast<std::uint64_t>(plan.sheets);
    const auto rows = static_cast<std::uint64_t>(plan.grid.rows) + 2 * SheetArray<float>::rim;
    const auto stride = static_cast<std::uint64_t>(SheetArray<float>::padded(plan.grid.cols));
    return kBesides +
           sizeof(float) * sheets * (solver_arrays * rows * stride + kept_arrays * plan.grid.cells()) +
           per_cell * plan.grid.cells();
}

std::uint64_t night_bytes_besides_windows(const NightPlan& plan) {
    return kBesides + sizeof(float) * plan.grid.cells();
}

std::int32_t night_strip_rows(const Grid& fine, const NightPlan& plan, std::uint64_t held,
                              std::uint64_t memory) {
    constexpr std::uint64_t per_fine_cell = 16;  // heights, temperatures and their copies
    const std::uint64_t per_coarse_cell = sizeof(float) * 2 * static_cast<std::uint64_t>(plan.sheets) + 64;
    const auto bytes = [&](std::int32_t rows) {
        const Window strip{0, 0, std::min(rows, fine.rows), fine.cols};
        // In the middle of the ground cells lie around it on both sides.
        const Window around = cells_around(strip, fine, plan);
        const auto coarse_rows = static_cast<std::uint64_t>(around.rows) + 5;
        return kBesides + held + per_fine_cell * strip.cells() +
               per_coarse_cell * coarse_rows * static_cast<std::uint64_t>(around.cols);
    };
    constexpr std::int32_t block = ScratchRaster::block;
    std::int32_t rows = block;
    while (rows < fine.rows && rows < 16 * block && bytes(rows + block) <= memory) rows += block;
    while (bytes(rows) > memory) {
        rows /= 2;
        if (rows == 0)
            throw InputError(fmt::format(
                "--memory is too little to lay the night on this DEM of {} by {} cells; give at least "
                "{:.0f} MB",
                fine.rows, fine.cols, std::ceil(static_cast<double>(bytes(1)) / 1e6)));
    }
    return rows;
}

}  // namespace lielow
