// SPDX-License-Identifier: Apache-2.0
#include "tools/compare_variants.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "sim/errors.hpp"
#include "tools/night_crop.hpp"
#include "tools/read_ground.hpp"
#include "tools/reference_spot.hpp"
#include "tools/remedy_drains.hpp"
#include "tools/site_run.hpp"
#include "tools/site_soil.hpp"
#include "tools/site_soil_facts.hpp"

namespace lielow {
namespace {

/// A remedy's name as a folder's: letters and digits, the rest hyphens.
std::string folder_name(const std::string& name, const std::vector<Variant>& taken) {
    std::string plain;
    for (const unsigned char c : name) {
        if (std::isalnum(c) != 0) {
            plain += static_cast<char>(std::tolower(c));
        } else if (!plain.empty() && plain.back() != '-') {
            plain += '-';
        }
    }
    while (plain.ends_with('-')) plain.pop_back();
    if (plain.empty()) plain = "remedy";
    std::string folder = plain;
    const auto is_taken = [&] {
        return folder == "together" ||
               std::any_of(taken.begin(), taken.end(), [&](const Variant& v) { return v.folder == folder; });
    };
    for (int number = 2; is_taken(); ++number) folder = fmt::format("{}-{}", plain, number);
    return folder;
}

[[noreturn]] void refuse(const Site& site, const Remedy& remedy, const std::string& what) {
    throw InputError(fmt::format("{}: remedy \"{}\" {}", site.file.filename().string(), remedy.name, what));
}

/// What only makes sense where the site has it.
void check_needs(const Variant& variant, const Dem& dem) {
    std::vector<std::string> told_by_the_run;
    for (const Remedy& remedy : variant.site.done) {
        const bool ground = remedy.kind == RemedyKind::raised_bed || remedy.kind == RemedyKind::drains;
        if (ground && !variant.soil)
            refuse(variant.site, remedy, "acts on the days after the storm; give soil.conductivity");
        if (remedy.kind != RemedyKind::later_stage) continue;
        if (!variant.site.crop.kind)
            refuse(variant.site, remedy, "needs a crop; give crop.kind and crop.stage");
        if (!remedy.stage && !variant.site.station.record)
            refuse(variant.site, remedy, "moves the tender days, which need station.record");
        read_site_crop(variant.site, dem, told_by_the_run);
    }
}

/// A moved field may have held the reference spot: it stays where it was, or all offsets would shift.
void keep_reference(const Variant& base, const Dem& dem, Site& site) {
    const ReferenceSpot spot = find_reference_spot(base.site, dem, base.fields);
    site.night.reference = fmt::format("{:.6f}, {:.6f}", spot.x, spot.y);
}

bool touches_night(const Site& site) {
    return std::any_of(site.done.begin(), site.done.end(), [](const Remedy& remedy) {
        return is_obstacle(remedy.kind) || remedy.kind == RemedyKind::later_stage;
    });
}

/// Ponds of a moved field are told by the water part alone; all else is read from the rasters.
bool touches_water(const Variant& variant, const Variant& base) {
    return variant.changes != base.changes || is_done(variant.site, RemedyKind::moved_field);
}

bool touches_drain(const Variant& variant, const Variant& base) {
    return variant.soil &&
           (variant.changes != base.changes || is_done(variant.site, RemedyKind::raised_bed) ||
            is_done(variant.site, RemedyKind::drains));
}

/// What is told of a field's soil; the soil stays where it is.
bool touches_soil(const Site& site) {
    return is_done(site, RemedyKind::moved_field) && site.soil.known();
}

std::vector<std::string> touched_parts(const Variant& variant, const Variant& base) {
    std::vector<std::string> parts;
    for (const std::string& part : base.parts) {
        const bool touched = part == "night"    ? touches_night(variant.site)
                             : part == "water"  ? touches_water(variant, base)
                             : part == "drain"  ? touches_drain(variant, base)
                             : part == "soil"   ? touches_soil(variant.site)
                             : part == "siting" ? !parts.empty() && variant.site.crop.kind
                                                : true;
        if (touched) parts.push_back(part);
    }
    return parts;
}

void read_ground_of(Variant& variant, const Dem& dem, std::vector<std::string>& notes) {
    variant.fields = read_site_fields(variant.site, dem, notes);
    const Obstacles obstacles = read_site_obstacles(variant.site, dem, notes);
    variant.changes = read_site_changes(variant.site, dem, obstacles, notes);
    variant.soil =
        has_soil(variant.site, site_soil_knowledge(variant.site, dem, variant.fields, notes).facts);
}

Variant base_of(const Site& site, const std::vector<std::string>& only) {
    Variant base{"without remedies", "base", {}, site, {}, {}, {}, false};
    for (const Part& part : part_table()) {
        // How sure it is, and where to look next, is asked of the site as it is: `lielow run`.
        if (part.name == "sure" || part.name == "look") continue;
        const bool chosen = only.empty() || std::find(only.begin(), only.end(), part.name) != only.end();
        if (chosen) base.parts.emplace_back(part.name);
    }
    return base;
}

}  // namespace

std::vector<Variant> plan_comparison(const Site& site, const Dem& dem, const std::vector<std::string>& only,
                                     std::vector<std::string>& notes) {
    if (site.remedies.empty())
        throw InputError(fmt::format(
            R"({}: there is no remedy to compare; write a section such as [remedy."Gap in the belt"])",
            site.file.string()));
    std::vector<Variant> variants;
    variants.push_back(base_of(site, only));
    read_ground_of(variants.front(), dem, notes);
    std::vector<std::string> told_already;
    const auto add = [&](Variant&& variant) {
        read_ground_of(variant, dem, told_already);
        check_needs(variant, dem);
        if (is_done(variant.site, RemedyKind::moved_field))
            keep_reference(variants.front(), dem, variant.site);
        variant.parts = touched_parts(variant, variants.front());
        variants.push_back(std::move(variant));
    };
    for (const Remedy& remedy : site.remedies) {
        add({remedy.name,
             folder_name(remedy.name, variants),
             remedy.text,
             with_remedy(site, remedy),
             {},
             {},
             {}});
    }
    if (site.remedies.size() > 1) {
        Site all = site;
        for (const Remedy& remedy : site.remedies) all = with_remedy(std::move(all), remedy);
        add({"all together", "together", "every remedy at once", std::move(all), {}, {}, {}});
    }
    return variants;
}

}  // namespace lielow
