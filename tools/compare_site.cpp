// SPDX-License-Identifier: Apache-2.0
#include "tools/compare_site.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>

#include "io/staging.hpp"
#include "sim/errors.hpp"
#include "tools/compare_report.hpp"
#include "tools/compare_run.hpp"
#include "tools/compare_variants.hpp"
#include "tools/part_storm.hpp"
#include "tools/read_ground.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

void write_text(const std::filesystem::path& file, const std::string& text) {
    std::ofstream stream(file, std::ios::binary);
    stream << text;
    stream.close();
    if (!stream)
        throw RunError(fmt::format("{} can't be written; is the disk full?", file.filename().string()));
}

std::vector<std::string> cautions() {
    return {
        "A screening picture to compare places and remedies with: not a forecast of any night or flood, and "
        "not a design. Walk the ground.",
        "No drain without an outlet. Ask about wetland and drainage law before you move water, have buried "
        "utilities marked before you dig, and ask the neighbours downslope: what leaves your ground, cold or "
        "wet, arrives on theirs. A drainage system is designed by a licensed person.",
        "A raised bed airs roots; it doesn't cure infected ground.",
    };
}

/// The flow through the storm's hours has its own, coarser cells.
void note_narrow_ditches(const Site& site, std::vector<std::string>& notes) {
    const bool ditch = std::any_of(site.remedies.begin(), site.remedies.end(),
                                   [](const Remedy& remedy) { return remedy.kind == RemedyKind::ditch; });
    if (ditch && site.water.run.asked_for())
        notes.emplace_back(
            "the storm through its hours runs on cells wider than a ditch and hardly sees it: go by what is "
            "ponded after the storm and what then runs off, or take a small water.storm_cell");
}

}  // namespace

Comparison compare_site(Site site, const std::vector<std::string>& only, const std::filesystem::path& out,
                        Progress& progress) {
    progress.begin("reading the ground");
    check_storm_run(site);
    const Dem dem = read_site_dem(site);
    Comparison comparison{site.title, site.file.filename().string(), {}, {}, dem.notes, cautions()};
    const std::vector<Variant> variants = plan_comparison(site, dem, only, comparison.notes);
    for (const Variant& variant : variants) {
        for (const std::string& part : variant.parts) require_keys_for(variant.site, part);
    }
    note_narrow_ditches(site, comparison.notes);
    progress.end();
    const Variant& base = variants.front();
    for (const FarmField& field : base.fields) comparison.fields.push_back(field.name);
    std::string base_key;
    const Layers base_layers(out, base, dem.ground.grid);
    for (const Variant& variant : variants) {
        throw_if_stopped();
        const std::string key = variant_key(variant, base_key);
        if (&variant == &base) base_key = key;
        const bool ran = run_variant(variant, dem, key, out, progress);
        const Layers layers(out, variant, dem.ground.grid);
        progress.begin("reading what came out");
        comparison.variants.push_back(
            {variant.name, variant.folder, variant.text, variant.parts, measure_fields(variant, dem, layers),
             sent_on(variant, base, dem, layers, base_layers), !ran && !variant.parts.empty()});
        progress.end();
    }
    Staging staging(out);
    write_text(staging.path("comparison.json"), comparison_json(comparison));
    write_text(staging.path("comparison.csv"), comparison_csv(comparison, site.units));
    staging.commit();
    return comparison;
}

}  // namespace lielow
