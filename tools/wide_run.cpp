// SPDX-License-Identifier: Apache-2.0
#include "tools/wide_run.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <limits>
#include <utility>

#include "io/staging.hpp"
#include "sim/errors.hpp"
#include "sim/tile_directions.hpp"
#include "sim/tile_levels.hpp"
#include "sim/tile_upslope.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

constexpr float kNothing = std::numeric_limits<float>::quiet_NaN();
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

/// The whole ground's work, tile by tile.
class WideRun {
  public:
    WideRun(const WideDem& dem, std::int32_t side, const Staging& staging, Progress& progress)
        : dem_(dem), cut_(dem.grid(), side), staging_(staging), progress_(progress) {
        heights_ = [this](const Window& w, Field<float>& z) {
            throw_if_stopped();
            dem_.read(w, z);
            cells_ += static_cast<double>(w.cells());
            progress_.at(std::min(1.0, cells_ / expected_));
        };
    }

    void hollows(bool depth, bool area) {
        begin("tiles: borders of the hollows");
        const auto known = tile_border_levels(cut_, heights_, {});
        if (std::all_of(known.begin(), known.end(), [](const TileLevels& t) { return t.level.empty(); }))
            throw InputError("the DEM has no cell with a value; give another one");
        ScratchRaster filled(scratch("filled"), dem_.grid(), dem_.geo(), ScratchRaster::Kind::numbers);
        ScratchRaster below(scratch("depth"), dem_.grid(), dem_.geo(), ScratchRaster::Kind::numbers);
        begin("tiles: hollows");
        each_tile([&](std::size_t t, const Window& tile) {
            const Field<float> z = with_halo(dem_.grid(), tile, 0, kNothing, heights_);
            Field<float> level = finish_tile_levels(tile, z, known[t]);
            if (depth) {
                Field<float> water(tile.rows, tile.cols);
                for (std::size_t i = 0; i < z.size(); ++i) water[i] = level[i] - z[i];
                below.write(tile, std::move(water));
            }
            if (area) filled.write(tile, std::move(level));
        });
        if (depth) keep(below, {"hollow_depth", "Depth below the level at which the hollow spills", "m"});
        if (area) upslope(filled);
    }

    void fill_stage() {
        begin("tiles: the low point");
        const float low_point = lowest_height(cut_, heights_);
        begin("tiles: borders of the fill stage");
        const auto known = tile_border_levels(cut_, heights_, {false, low_point});
        ScratchRaster stage(scratch("stage"), dem_.grid(), dem_.geo(), ScratchRaster::Kind::numbers);
        begin("tiles: fill stage");
        each_tile([&](std::size_t t, const Window& tile) {
            const Field<float> z = with_halo(dem_.grid(), tile, 0, kNothing, heights_);
            Field<float> level = finish_tile_levels(tile, z, known[t]);
            for (float& v : level.all()) v = std::isinf(v) ? kNothing : v - low_point;
            stage.write(tile, std::move(level));
        });
        keep(stage,
             {"fill_stage",
              "Height of water above the lowest point of the ground at which the cell goes under", "m"});
    }

  private:
    void upslope(const ScratchRaster& filled) {
        const ReadWindow<float> surface = [&](const Window& w, Field<float>& z) {
            throw_if_stopped();
            filled.read(w, z);
        };
        begin("tiles: level ground");
        const FlatBorders flats = flat_borders(cut_, surface);
        ScratchRaster directions(scratch("to"), dem_.grid(), dem_.geo(), ScratchRaster::Kind::codes);
        begin("tiles: directions");
        std::vector<TileFlow> flows;
        each_tile([&](std::size_t t, const Window& tile) {
            Field<std::uint8_t> to = finish_tile_directions(cut_, t, surface, flats);
            flows.push_back(tile_flow(tile, to));
            directions.write(tile, std::move(to));
        });
        const auto comes_in = join_tile_flows(cut_, flows);
        ScratchRaster area(scratch("area"), dem_.grid(), dem_.geo(), ScratchRaster::Kind::numbers);
        begin("tiles: upslope area");
        each_tile([&](std::size_t t, const Window& tile) {
            Field<std::uint8_t> to(tile.rows, tile.cols);
            directions.read(tile, to);
            const Field<double> exact = finish_tile_upslope(cut_, tile, to, comes_in[t]);
            Field<float> rounded(tile.rows, tile.cols);
            std::transform(exact.all().begin(), exact.all().end(), rounded.data(),
                           [](double a) { return static_cast<float>(a); });
            area.write(tile, std::move(rounded));
        });
        keep(area,
             {"upslope_area",
              "Area that drains through the cell along its steepest way, its own included, hollows full",
              "m2"});
    }

    template <class Work>
    void each_tile(Work work) {
        for (std::size_t t = 0; t < cut_.count(); ++t) {
            throw_if_stopped();
            work(t, cut_.tile(t));
            progress_.at(static_cast<double>(t + 1) / static_cast<double>(cut_.count()));
        }
    }

    void begin(const char* stage) {
        progress_.begin(stage);
        cells_ = 0;
        expected_ = static_cast<double>(dem_.grid().cells()) * 1.01;  // halos besides
    }

    void keep(ScratchRaster& raster, const BandLabel& label) {
        progress_.begin("writing " + label.name);
        raster.copy_to(staging_.path(label.name + ".tif"), label);
    }

    [[nodiscard]] std::filesystem::path scratch(const std::string& name) const {
        return staging_.path("scratch_" + name + ".tif");
    }

    const WideDem& dem_;
    TileCut cut_;
    const Staging& staging_;
    Progress& progress_;
    ReadWindow<float> heights_;
    double cells_ = 0;
    double expected_ = 1;
};

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
            "--memory \"{}\" is no amount of memory; give a number and MB, GB, MiB or GiB, as \"2 GB\"",
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

std::vector<std::string> wide_rasters() {
    return {"hollow_depth", "fill_stage", "upslope_area"};
}

void run_wide(const WideDem& dem, std::int32_t side, const std::vector<std::string>& wanted,
              const std::filesystem::path& folder, Progress& progress) {
    const auto asked = [&](const char* name) {
        return wanted.empty() || std::find(wanted.begin(), wanted.end(), name) != wanted.end();
    };
    Staging staging(folder);
    WideRun run(dem, side, staging, progress);
    if (asked("hollow_depth") || asked("upslope_area"))
        run.hollows(asked("hollow_depth"), asked("upslope_area"));
    if (asked("fill_stage")) run.fill_stage();
    progress.end();
    staging.commit();
}

}  // namespace lielow
