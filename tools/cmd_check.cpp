// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "io/people_units.hpp"
#include "io/site_keys.hpp"
#include "sim/errors.hpp"
#include "tools/command.hpp"
#include "tools/compare_variants.hpp"
#include "tools/ensemble.hpp"
#include "tools/night_crop.hpp"
#include "tools/night_flow.hpp"
#include "tools/night_loss.hpp"
#include "tools/night_spots.hpp"
#include "tools/night_surface.hpp"
#include "tools/night_times.hpp"
#include "tools/part_storm.hpp"
#include "tools/read_ground.hpp"
#include "tools/reference_spot.hpp"
#include "tools/site_run.hpp"
#include "tools/site_soil.hpp"
#include "tools/site_soil_facts.hpp"
#include "tools/site_wind.hpp"
#include "tools/siting_asks.hpp"
#include "tools/soil_readings.hpp"
#include "tools/text_table.hpp"

namespace lielow {
namespace {

std::string settings_text(const Site& site) {
    TextTable table{{"key", "in force", "from"}, {}, false};
    for (const SiteSetting& setting : site.settings)
        table.rows.push_back({std::string(setting.key), setting.text, setting.origin});
    return to_text(table);
}

/// What each key means, how it may be written, and where its default comes from.
std::string explanations(const Site& site) {
    std::string text;
    for (std::size_t i = 0; i < site.settings.size(); ++i) {
        const SiteKey& key = site_keys()[i];
        text += fmt::format("{} = {} ({})\n    {}\n", key.name, site.settings[i].text,
                            site.settings[i].origin, key.meaning);
        if (!key.choices.empty()) text += fmt::format("    one of: {}\n", fmt::join(key.choices, ", "));
        if (!key.low.empty()) text += fmt::format("    from {} to {}\n", key.low, key.high);
        if (!key.example.empty()) text += fmt::format("    written as {}\n", key.example);
        if (!key.fallback.empty()) text += fmt::format("    default {}: {}\n", key.fallback, key.source);
    }
    return text;
}

std::string ground_text(const GroundRecord& ground, PeopleUnits units) {
    return fmt::format(
        "Ground: {} rows of {} cells of {:.4g} m x {:.4g} m, {} with a value.\n"
        "Holes: {} bridged ({} cells), {} left open ({} cells).\n",
        ground.rows, ground.cols, ground.cell_width_m, ground.cell_height_m,
        people_text(ground.known_area_m2, PeopleQuantity::area, units), ground.bridged_holes,
        ground.bridged_cells, ground.open_holes, ground.open_cells);
}

std::string fields_text(const std::vector<FarmField>& fields, PeopleUnits units) {
    TextTable table{{"field", fmt::format("area, {}", people_unit(PeopleQuantity::area, units))}, {}};
    for (const FarmField& field : fields)
        table.rows.push_back({field.name, people_number(field.area_m2, PeopleQuantity::area, units)});
    return to_text(table);
}

/// Sunset, sunrise, the reference spot and where the loss comes from, where the site file names a night.
std::string night_text(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                       std::vector<std::string>& notes) {
    if (!site.night.date) return {};
    const NightSpan span = night_span(site, dem.geo);
    check_flow_hour(site, dem, span.sunset_s, span.length_s());
    std::string text =
        fmt::format("Night of {}: sunset {}, sunrise {} ({}).\nReference spot: {}.\n", date_text(site),
                    clock_text(site, dem.geo, span.sunset_s), clock_text(site, dem.geo, span.sunrise_s),
                    clock_name(site, dem.geo), find_reference_spot(site, dem, fields).text);
    if (site.night.evening_air_k) {
        const NightLoss loss = night_loss(site, dem.geo, span, notes);
        NightSetup setup;
        setup.weather = loss.weather;
        set_wind(site, setup, notes);
        text += fmt::format("Loss of heat: {}.\nWind: {}.\n", loss.from, wind_origin(site, loss.weather));
    }
    return text;
}

/// What `lielow compare` would look at; judges every remedy.
std::string remedies_text(const Site& site, const Dem& dem, std::vector<std::string>& notes) {
    if (site.remedies.empty()) return {};
    plan_comparison(site, dem, {}, notes);
    std::string text;
    for (const Remedy& remedy : site.remedies)
        text += fmt::format("Remedy \"{}\": {}.\n", remedy.name, remedy.text);
    return text;
}

/// Which parts `lielow run` could do with this site file, and what the others lack.
std::string parts_text(const Site& site) {
    std::string text;
    for (const Part& part : part_table()) {
        try {
            require_keys_for(site, part.name);
            text += fmt::format("{}: ready to run\n", part.name);
        } catch (const InputError& lacking) {
            text += fmt::format("{}: {}\n", part.name, lacking.what());
        }
    }
    return text;
}

class CheckCommand final : public Command {
  public:
    void declare(Options& options) override {
        options.argument("SITE.toml", "the site file", site_file_);
        options.flag("--explain", "say what every key means and where its default comes from", explain_);
    }

    void run(Progress& progress) override {
        Site site = read_site(site_file_);
        progress.begin("reading the ground");
        const Dem dem = read_site_dem(site);
        std::vector<std::string> notes = dem.notes;
        check_storm_run(site);
        const auto fields = read_site_fields(site, dem, notes);
        read_site_around(site, dem, {}, notes);
        const SiteSurface surface =
            read_site_surface(site, dem, read_site_obstacles(site, dem, notes), notes);
        const std::string night = night_text(site, dem, fields, notes);
        const std::string spots = spots_text(read_site_spots(site, dem, notes), dem, site.units);
        const auto crop = read_site_crop(site, dem, notes);
        read_site_changes(site, dem, surface.obstacles, notes);
        const SoilKnowledge soil = site_soil_knowledge(site, dem, fields, notes);
        check_site_soil(site, dem, soil.facts);
        std::vector<std::string> told_already;
        const std::string remedies = remedies_text(site, dem, told_already);
        check_ensemble(site);
        progress.end();
        fmt::print("{}\n{}\n{}\n{}{}{}{}{}\n{}{}", explain_ ? explanations(site) : settings_text(site),
                   ground_text(ground_record(dem), site.units), fields_text(fields, site.units),
                   surface_text(surface, dem.ground, site.units), spots, night,
                   crop ? crop_text(*crop, site.units) : "", soil_text(soil, site, dem), siting_text(site),
                   remedies);
        for (const std::string& note : notes) fmt::print("Note: {}\n", note);
        fmt::print("\n{}", parts_text(site));
    }

  private:
    std::string site_file_;
    bool explain_ = false;
};

}  // namespace

std::unique_ptr<Command> make_check_command() {
    return std::make_unique<CheckCommand>();
}

}  // namespace lielow
