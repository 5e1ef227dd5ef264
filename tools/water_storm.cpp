// SPDX-License-Identifier: Apache-2.0
#include "tools/water_storm.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/filling_rain.hpp"
#include "sim/nested_hollows.hpp"
#include "sim/storm_fill.hpp"
#include "sim/tie_order.hpp"
#include "sim/zonal.hpp"

namespace lielow {
namespace {

constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

/// Depth of each storm's water over one cell.
class Ponds {
  public:
    Ponds(const SiteRun& run, const Catchments& catchments, const NestedHollows& hollows,
          std::vector<double> storms_m)
        : run_(run), catchments_(catchments), storms_m_(std::move(storms_m)) {
        for (const double storm : storms_m_) {
            const double runoff = storm * run.site.water.runoff_share;
            all_.push_back(fill_from_runoff(hollows, runoff_by_catchment(hollows, runoff)));
        }
    }
    [[nodiscard]] std::size_t size() const { return all_.size(); }
    [[nodiscard]] const StormPonds& of(std::size_t storm) const { return all_[storm]; }
    [[nodiscard]] double rain_m(std::size_t storm) const { return storms_m_[storm]; }

    /// Areas of the zone at least as deep as water.ponded_from, m², one for each storm, in one pass.
    [[nodiscard]] std::vector<double> ponded_m2(const Zone& zone) const {
        std::vector<double> area(size(), 0.0);
        for (std::size_t i = 0; i < zone.cells.size(); ++i)
            add(zone.cells[i], static_cast<double>(zone.share[i]), area);
        return area;
    }
    [[nodiscard]] std::vector<double> ponded_m2() const {
        std::vector<double> area(size(), 0.0);
        for (std::size_t cell = 0; cell < catchments_.of_cell.size(); ++cell) add(cell, 1.0, area);
        return area;
    }

  private:
    void add(std::size_t cell, double share, std::vector<double>& area) const {
        const std::int32_t c = catchments_.of_cell[cell];
        if (c < 0 || run_.dem.ground.known[cell] == 0) return;
        const double z = run_.dem.ground.z[cell];
        for (std::size_t s = 0; s < size(); ++s) {
            const double depth = all_[s].level_of_catchment[static_cast<std::size_t>(c)] - z;
            if (depth > 0 && depth >= run_.site.water.ponded_from_m)
                area[s] += share * run_.dem.ground.grid.cell_area();
        }
    }
    const SiteRun& run_;
    const Catchments& catchments_;
    std::vector<double> storms_m_;
    std::vector<StormPonds> all_;
};

double error_m3(const SiteRun& run, const StormPonds& ponds) {
    const auto& accuracy = run.site.ground.vertical_accuracy_m;
    return accuracy ? volume_error_m3(ponds, *accuracy) : not_known;
}

void add_table(SiteRun& run, const Ponds& ponds) {
    const std::vector<double> ground_area = ponds.ponded_m2();
    for (std::size_t s = 0; s < ponds.size(); ++s) {
        run.summary.storms.push_back({ponds.rain_m(s),
                                      ponds.of(s).ponded_m3,
                                      error_m3(run, ponds.of(s)),
                                      ponds.of(s).left_ground_m3,
                                      ground_area[s],
                                      {}});
    }
    for (const FarmField& field : run.fields) {
        const std::vector<double> area = ponds.ponded_m2({field.cells, field.share});
        for (std::size_t s = 0; s < ponds.size(); ++s)
            run.summary.storms[s].field_ponded_m2.push_back(area[s]);
    }
}

/// The hollow that holds most inside the field when full: rain that fills it, and that water. NaN, 0 where
/// the field has none.
struct LargestHollow {
    double rain_m = not_known;
    double held_m3 = 0;
};

LargestHollow largest_hollow(const SiteRun& run, const FarmField& field, const Catchments& catchments,
                             const NestedHollows& hollows, const FillingRain& rain) {
    std::vector<std::pair<std::int32_t, double>> held;
    for (std::size_t i = 0; i < field.cells.size(); ++i) {
        const std::int32_t c = catchments.of_cell[field.cells[i]];
        if (c < 0) continue;
        const std::int32_t whole = fullest_hollow(hollows, c);
        const double depth =
            static_cast<double>(hollows.list[static_cast<std::size_t>(whole)].spill_level_m) -
            static_cast<double>(run.dem.ground.z[field.cells[i]]);
        if (depth > 0) held.emplace_back(whole, depth * static_cast<double>(field.share[i]));
    }
    std::stable_sort(held.begin(), held.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    LargestHollow largest;
    for (std::size_t i = 0; i < held.size();) {
        const std::int32_t whole = held[i].first;
        double sum = 0;
        for (; i < held.size() && held[i].first == whole; ++i) sum += held[i].second;
        sum *= run.dem.ground.grid.cell_area();
        if (sum <= largest.held_m3) continue;
        largest = {rain.of_hollow[static_cast<std::size_t>(whole)] / run.site.water.runoff_share, sum};
    }
    return largest;
}

void add_field_figures(SiteRun& run, const Catchments& catchments, const NestedHollows& hollows) {
    const FillingRain rain = rain_that_fills(hollows);
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const LargestHollow largest = largest_hollow(run, run.fields[i], catchments, hollows, rain);
        auto& figures = run.summary.fields[i].figures;
        figures.push_back({"largest_hollow_m3", largest.held_m3,
                           "Water inside the field in the hollow that holds most there, when full"});
        figures.push_back({"largest_hollow_rain_m", largest.rain_m,
                           "Depth of rain that fills that hollow, overflow from above included"});
    }
}

/// The deepest of the water on known ground, and where it is; nothing where none stands.
void add_deepest(const SiteRun& run, const Field<float>& depth, PartRecord& record) {
    const Ground& ground = run.dem.ground;
    std::size_t deepest = 0;
    float most = 0;
    for (std::size_t cell = 0; cell < depth.size(); ++cell) {
        if (ground.known[cell] == 0 || !(depth[cell] > most)) continue;
        most = depth[cell];
        deepest = cell;
    }
    record.figures.push_back({"storm_deepest_m", static_cast<double>(most), {}});
    if (!(most > 0)) return;
    const auto cols = static_cast<std::size_t>(ground.grid.cols);
    const auto at =
        run.dem.geo.at(static_cast<double>(deepest % cols) + 0.5, static_cast<double>(deepest / cols) + 0.5);
    std::string where = fmt::format("{:.0f}, {:.0f}", at[0], at[1]);
    for (const FarmField& field : run.fields) {
        const bool inside = std::binary_search(field.cells.begin(), field.cells.end(), deepest);
        if (inside && run.site.ground.fields) where += ", in " + field.name;
    }
    record.words.emplace_back("storm_deepest_at", std::move(where));
}

void add_storm(SiteRun& run, const Catchments& catchments, const NestedHollows& hollows, PartRecord& record) {
    const double storm = *run.site.water.storm_m;
    const Ponds ponds(run, catchments, hollows, {storm});
    record.figures.push_back({"storm_m", storm, {}});
    record.figures.push_back({"storm_ponded_m3", ponds.of(0).ponded_m3, {}});
    record.figures.push_back({"storm_ponded_error_m3", error_m3(run, ponds.of(0)), {}});
    record.figures.push_back({"storm_ponded_m2", ponds.ponded_m2()[0], {}});
    record.figures.push_back({"storm_left_ground_m3", ponds.of(0).left_ground_m3, {}});
    record.figures.push_back({"ponded_from_m", run.site.water.ponded_from_m, {}});
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const Zone zone{run.fields[i].cells, run.fields[i].share};
        run.summary.fields[i].figures.push_back(
            {"storm_ponded_m2", ponds.ponded_m2(zone)[0],
             "Area that the storm leaves at least as deep under water as counts as ponded"});
    }
    Field<float> depth = pond_depth(run.dem.ground.z, catchments, ponds.of(0));
    add_deepest(run, depth, record);
    if (run.site.water.run.asked_for()) return;  // which writes what stood at its deepest
    finish_raster(
        run, std::move(depth),
        {"storm_depth",
         fmt::format("Depth of the water that stands after {:.0f} mm of rain, {:.0f} % of which runs "
                     "off, once it has run together",
                     1000 * storm, 100 * run.site.water.runoff_share),
         "m"});
}

}  // namespace

void run_storms(SiteRun& run, const Catchments& catchments, const Field<float>& order, PartRecord& record) {
    begin_stage(run, "storms");
    const Ground& ground = run.dem.ground;
    const NestedHollows hollows = nest_hollows(ground.grid, ground.z, catchments, order);
    add_table(run, Ponds(run, catchments, hollows, run.site.water.storms_m));
    add_field_figures(run, catchments, hollows);
    if (run.site.water.storm_m) add_storm(run, catchments, hollows, record);
}

double ponded_by_storm_m3(const SiteRun& run, const Field<float>& z) {
    if (!run.site.water.storm_m) return not_known;
    const Grid& grid = run.dem.ground.grid;
    const Field<float> order = order_ties(z);
    const Catchments catchments = find_catchments(grid, z, order);
    const NestedHollows hollows = nest_hollows(grid, z, catchments, order);
    const double runoff = *run.site.water.storm_m * run.site.water.runoff_share;
    return fill_from_runoff(hollows, runoff_by_catchment(hollows, runoff)).ponded_m3;
}

}  // namespace lielow
