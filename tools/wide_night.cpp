// SPDX-License-Identifier: Apache-2.0
#include "tools/wide_night.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "io/people_units.hpp"
#include "sim/errors.hpp"
#include "sim/night_map.hpp"
#include "sim/sky_view.hpp"
#include "tools/night_times.hpp"
#include "tools/stop.hpp"
#include "tools/wide_memory.hpp"

namespace lielow {
namespace {

constexpr std::size_t most_strip_cells = 8'000'000;  ///< of the DEM, read at once

Site read_night_site(const std::filesystem::path& file) {
    Site site = read_partial_site(file);
    require_keys_for(site, "night");
    return site;
}

NightPlan on_own_cells(NightPlan plan) {
    plan.blocks = {1, 1};
    return plan;
}

}  // namespace

WideNight::WideNight(const WideDem& dem, const std::filesystem::path& site_file, std::uint64_t memory,
                     Progress& progress)
    : dem_(dem), memory_(memory), progress_(progress), site_(read_night_site(site_file)) {
    heights_ = [this](const Window& w, Field<float>& z) {
        throw_if_stopped();
        dem_.read(w, z);
        read_ += static_cast<double>(w.cells());
        progress_.at(std::min(1.0, read_ / static_cast<double>(dem_.grid().cells())));
    };
    note_unused();
    evening_.span = night_span(site_, dem_.geo());
    evening_.loss = night_loss(site_, dem_.geo(), evening_.span, notes_);
    begin("evening");
    evening_.spot = find_reference_spot(site_, dem_.grid(), dem_.geo(), heights_, most_strip_cells);
    setup_ = night_setup(site_, evening_, notes_);
    setup_.sample_interval_s = setup_.duration_s;  // nobody reads the states in between
    plan_ = site_night_plan(site_, dem_.grid(), setup_);
    note_poor_plan(plan_, notes_);
    check_memory();
}

void WideNight::note_unused() {
    std::vector<std::string_view> unused;
    for (const SiteSetting& setting : site_.settings) {
        const bool own_ground = setting.key.starts_with("ground.") && setting.key != "ground.dem";
        if (own_ground && setting.origin == "site file") unused.push_back(setting.key);
    }
    if (!unused.empty())
        notes_.push_back(fmt::format("{}: not used here, where a night knows the DEM alone: {}",
                                     site_.file.string(), fmt::join(unused, ", ")));
}

void WideNight::check_memory() {
    fit_ = fit_night(setup_, on_own_cells(plan_), memory_);
    strip_rows_ = night_strip_rows(dem_.grid(), plan_, fit_.held_bytes, memory_);
}

void WideNight::check_disk(const std::filesystem::path& folder) const {
    const std::uint64_t raster = sizeof(float) * dem_.grid().cells();
    const std::uint64_t needed = std::max(fit_.windows ? fit_.windows->store_bytes + raster : 0, 2 * raster);
    std::error_code unknown;
    const std::filesystem::space_info space = std::filesystem::space(folder, unknown);
    if (unknown || space.available >= needed) return;
    throw RunError(
        fmt::format("the night takes {} MB on the disk of {} while it is worked on, and {} MB are free; make "
                    "room or choose "
                    "another folder with --out",
                    needed / 1'000'000 + 1, folder.string(), space.available / 1'000'000));
}

NightSetup WideNight::setup_on_cells(const Field<double>& cells) {
    NightSetup setup = setup_;
    if (evening_.loss.sky_directions == 0) return setup;
    begin("sky view");
    Field<float> z(cells.rows(), cells.cols());
    std::transform(cells.all().begin(), cells.all().end(), z.data(),
                   [](double height) { return static_cast<float>(height); });
    setup.sky_view = std::make_shared<const Field<float>>(
        sky_view_per_map_area(plan_.grid, z, evening_.loss.sky_directions));
    return setup;
}

SolvedNight WideNight::solve(const Staging& staging) {
    begin("the night's cells");
    Field<double> cells = block_means(dem_.grid(), plan_.blocks, heights_, most_strip_cells);
    const NightSetup setup = setup_on_cells(cells);
    begin("night");
    return solve_night(std::move(cells), setup, on_own_cells(plan_), fit_, staging.path("scratch_air"),
                       [this](double share) {
                           progress_.at(share);
                           return !stop_requested();
                       });
}

void WideNight::run(const Staging& staging, bool low, bool offset) {
    const SolvedNight night = solve(staging);
    map(staging, night, low, offset);
    tell(night);
}

void WideNight::map(const Staging& staging, const SolvedNight& night, bool low, bool offset) {
    ScratchRaster raster(staging.path("scratch_night.tif"), dem_.grid(), dem_.geo(),
                         ScratchRaster::Kind::numbers);
    begin("lowest temperature");
    write_low(raster, night);
    Field<float> there(1, 1);
    const auto cols = static_cast<std::size_t>(dem_.grid().cols);
    raster.read({static_cast<std::int32_t>(evening_.spot.cell / cols),
                 static_cast<std::int32_t>(evening_.spot.cell % cols), 1, 1},
                there);
    reference_low_c_ = there[0];
    if (low) {
        begin("writing night_low");
        raster.copy_to(staging.path("night_low.tif"),
                       {"night_low",
                        fmt::format("Lowest air temperature of the night at {:.2f} m above the ground",
                                    setup_.plant_height_m),
                        "degC"});
    }
    if (!offset) return;
    begin("offset from the reference spot");
    take_reference(raster, reference_low_c_);
    begin("writing night_offset");
    raster.copy_to(staging.path("night_offset.tif"),
                   {"night_offset",
                    fmt::format("Lowest air temperature of the night less that of the reference spot ({})",
                                evening_.spot.text),
                    "K"});
}

void WideNight::write_low(ScratchRaster& raster, const SolvedNight& night) {
    each_strip([&](const Window& strip) {
        Field<float> z(strip.rows, strip.cols);
        dem_.read(strip, z);
        const Window around = cells_around(strip, dem_.grid(), plan_);
        const ColdestRows air = night.coldest(around.row, around.rows);
        Field<double> ground(around.rows, around.cols);
        std::copy_n(night.ground.row(around.row).begin(), ground.size(), ground.data());
        const IsothermSurfaces surfaces(dem_.grid(), plan_, night.scale, around, ground, air.height,
                                        air.gradient.clone());
        Field<float> low = map_deficit(strip, z, surfaces, night.scale, setup_.plant_height_m);
        deficit_to_celsius(z, setup_, low);
        raster.write(strip, std::move(low));
    });
}

void WideNight::take_reference(ScratchRaster& raster, float reference) {
    each_strip([&](const Window& strip) {
        Field<float> values(strip.rows, strip.cols);
        raster.read(strip, values);
        for (float& value : values.all()) value -= reference;
        raster.write(strip, std::move(values));
    });
}

void WideNight::begin(const char* stage) {
    progress_.begin(stage);
    read_ = 0;
}

template <class Work>
void WideNight::each_strip(Work work) {
    const Grid& grid = dem_.grid();
    for (std::int32_t row = 0; row < grid.rows; row += strip_rows_) {
        throw_if_stopped();
        work({row, 0, std::min(strip_rows_, grid.rows - row), grid.cols});
        progress_.at(static_cast<double>(row) / grid.rows);
    }
}

void WideNight::tell(const SolvedNight& night) {
    notes_.push_back(fmt::format(
        "night of {}, {} to {} ({}), on {} by {} cells of {:.4g} m by {:.4g} m with {} sheets of air",
        date_text(site_), clock_text(site_, dem_.geo(), evening_.span.sunset_s),
        clock_text(site_, dem_.geo(), evening_.span.sunrise_s), clock_name(site_, dem_.geo()),
        plan_.grid.rows, plan_.grid.cols, plan_.grid.dx, plan_.grid.dy, plan_.sheets));
    if (fit_.windows) {
        notes_.push_back(fmt::format(
            "by windows of {} of its {} rows, its state of {:.3g} GB on disk meanwhile", fit_.windows->rows,
            plan_.grid.rows, static_cast<double>(fit_.windows->store_bytes) / 1e9));
    }
    notes_.push_back(fmt::format("reference spot of night_offset: {}, {:.2f}, {:.2f}; lowest there {}",
                                 evening_.spot.text, evening_.spot.x, evening_.spot.y,
                                 people_text(static_cast<double>(reference_low_c_) + 273.15,
                                             PeopleQuantity::temperature, site_.units)));
    if (const auto caution = ladder_caution(plan_, night.ladder_full_share)) notes_.push_back(*caution);
    notes_.emplace_back(frost_caution);
}

}  // namespace lielow
