// SPDX-License-Identifier: Apache-2.0
#include "tools/wide_run.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include "io/staging.hpp"
#include "sim/errors.hpp"
#include "sim/tile_directions.hpp"
#include "sim/tile_levels.hpp"
#include "sim/tile_upslope.hpp"
#include "tools/stop.hpp"
#include "tools/wide_memory.hpp"
#include "tools/wide_night.hpp"

namespace lielow {
namespace {

constexpr float kNothing = std::numeric_limits<float>::quiet_NaN();

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

std::vector<std::string> wide_rasters() {
    return {"hollow_depth", "fill_stage", "upslope_area", "night_low", "night_offset"};
}

namespace {

/// Which of the rasters are wanted.
class Wanted {
  public:
    explicit Wanted(const WideRequest& request) : request_(request) {
        if (!request.night_site.empty()) return;
        for (const char* name : {"night_low", "night_offset"}) {
            if (named(name))
                throw InputError(
                    fmt::format("{} needs a site file that says which night: --night SITE.toml", name));
        }
    }
    [[nodiscard]] bool water(const char* name) const { return request_.wanted.empty() || named(name); }
    [[nodiscard]] bool night(const char* name) const { return !request_.night_site.empty() && water(name); }
    [[nodiscard]] bool any_water() const {
        return water("hollow_depth") || water("upslope_area") || water("fill_stage");
    }
    [[nodiscard]] bool any_night() const { return night("night_low") || night("night_offset"); }

  private:
    [[nodiscard]] bool named(const char* name) const {
        return std::find(request_.wanted.begin(), request_.wanted.end(), name) != request_.wanted.end();
    }
    const WideRequest& request_;
};

void make_water(const WideDem& dem, std::int32_t side, const Wanted& wanted, const Staging& staging,
                Progress& progress) {
    WideRun run(dem, side, staging, progress);
    if (wanted.water("hollow_depth") || wanted.water("upslope_area"))
        run.hollows(wanted.water("hollow_depth"), wanted.water("upslope_area"));
    if (wanted.water("fill_stage")) run.fill_stage();
}

}  // namespace

std::vector<std::string> run_wide(const WideDem& dem, const WideRequest& request, Progress& progress) {
    const Wanted wanted(request);
    std::vector<std::string> lines;
    const std::int32_t side = wanted.any_water() ? tile_side(dem.grid(), request.memory) : 0;
    std::optional<WideNight> night;
    if (wanted.any_night()) night.emplace(dem, request.night_site, request.memory, progress);
    Staging staging(request.folder);
    if (night) night->check_disk(request.folder);
    if (wanted.any_water()) {
        make_water(dem, side, wanted, staging, progress);
        lines.push_back(
            fmt::format("{} by {} cells in tiles of {} by {}", dem.grid().rows, dem.grid().cols, side, side));
    }
    if (night) {
        night->run(staging, wanted.night("night_low"), wanted.night("night_offset"));
        lines.insert(lines.end(), night->notes().begin(), night->notes().end());
    }
    progress.end();
    staging.commit();
    return lines;
}

}  // namespace lielow
