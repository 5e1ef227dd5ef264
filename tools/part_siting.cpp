// SPDX-License-Identifier: Apache-2.0
// Where the crop can be planted, where with which work, where not, and why.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <set>

#include "io/people_units.hpp"
#include "sim/siting.hpp"
#include "tools/kept_layers.hpp"
#include "tools/layer_looks.hpp"
#include "tools/raster_axes.hpp"
#include "tools/site_run.hpp"
#include "tools/siting_asks.hpp"
#include "tools/siting_words.hpp"

namespace lielow {
namespace {

constexpr double slope_length_m =
    5;  // to either side: about a row of trees, and less noise than single cells

SitingLayers layers_of(const SiteRun& run, const Field<float>& slope, const SoilFacts& soil) {
    return {find_layer(run, "loss_years"),
            find_layer(run, "loss_share"),
            find_layer(run, "storm_hours"),
            find_layer(run, "storm_depth"),
            find_layer(run, "hollow_depth"),
            find_layer(run, "drain_days"),
            &slope,
            &soil};
}

bool says_anything(const SoilFacts& soil) {
    const bool classes = !soil.drainage_class.empty() || !soil.flooding.empty() || !soil.ponding.empty();
    const bool depths =
        !soil.table_depth_year_m.empty() || !soil.table_depth_spring_m.empty() || !soil.floor_depth_m.empty();
    return classes || depths || !soil.ph.empty() || !soil.hard_share.empty() ||
           !soil.available_water_m.empty();
}

bool has_hazards(const SiteRun& run) {
    const auto layers = siting_layers();
    return std::any_of(layers.begin(), layers.end(),
                       [&](const NeededLayer& layer) { return find_layer(run, layer.name) != nullptr; });
}

const std::vector<RasterClass>& reason_colours() {
    static const std::vector<RasterClass> classes = [] {
        constexpr std::array<std::array<std::uint8_t, 3>, siting_factors + 1> colours{{{226, 222, 216},
                                                                                       {48, 56, 148},
                                                                                       {20, 150, 160},
                                                                                       {120, 196, 228},
                                                                                       {28, 94, 70},
                                                                                       {150, 108, 190},
                                                                                       {122, 62, 24},
                                                                                       {240, 206, 70},
                                                                                       {70, 70, 74},
                                                                                       {222, 124, 60},
                                                                                       {246, 178, 178}}};
        std::vector<RasterClass> all{{no_reason, "nothing limits", colours[0]}};
        for (std::size_t f = 0; f < siting_factors; ++f)
            all.push_back({static_cast<std::uint8_t>(f + 1), std::string(siting_factor_names.at(f)),
                           colours.at(f + 1)});
        return all;
    }();
    return classes;
}

void write_rasters(SiteRun& run, Siting& siting) {
    const std::string crop = *run.site.crop.kind;
    write_class_raster(
        run.staging.path("rasters/siting.tif"), run.dem.geo, std::move(siting.siting),
        {"siting", fmt::format("Fitness of the ground for {}: the worst factor decides", crop), ""},
        siting_class_colours());
    write_class_raster(
        run.staging.path("rasters/siting_reason.tif"), run.dem.geo, std::move(siting.reason),
        {"siting_reason",
         fmt::format("The factor that decides the class of the ground for {}; where too little is "
                     "known the first one to find out",
                     crop),
         ""},
        reason_colours());
}

std::string name_part(std::string_view name) {
    std::string text(name);
    std::replace(text.begin(), text.end(), ' ', '_');
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

constexpr std::array<std::string_view, siting_classes> class_columns{"plant", "work", "not_here", "unknown"};

/// Class and reason, of every pair that lies in some field.
std::set<std::pair<SitingClass, std::uint8_t>> pairs_in(const std::vector<FieldSiting>& fields) {
    std::set<std::pair<SitingClass, std::uint8_t>> pairs;
    for (const FieldSiting& field : fields) {
        for (const SitingPart& part : field.parts) {
            if (part.reason != no_reason) pairs.emplace(part.siting, part.reason);
        }
    }
    return pairs;
}

void add_areas(const FieldSiting& field, const std::set<std::pair<SitingClass, std::uint8_t>>& pairs,
               std::vector<NamedFigure>& figures) {
    for (std::size_t c = 0; c < siting_classes; ++c)
        figures.push_back({fmt::format("siting_{}_m2", class_columns.at(c)), field.area_m2.at(c),
                           fmt::format("Area of the class: {}", siting_class_names.at(c))});
    for (const auto& [siting, reason] : pairs) {
        double area = 0;
        for (const SitingPart& part : field.parts) {
            if (part.siting == siting && part.reason == reason) area = part.area_m2;
        }
        const auto c = static_cast<std::size_t>(siting);
        const std::string_view factor = siting_factor_names.at(reason - 1U);
        figures.push_back(
            {fmt::format("siting_{}_{}_m2", class_columns.at(c), name_part(factor)), area,
             fmt::format("Area of the class {}, decided by {}", siting_class_names.at(c), factor)});
    }
}

/// Empty for a field without known ground. Of equal parts the better class.
std::string largest_class(const FieldSiting& field) {
    const auto* const largest = std::max_element(field.area_m2.begin(), field.area_m2.end());
    if (!(*largest > 0)) return {};
    return std::string(siting_class_names.at(static_cast<std::size_t>(largest - field.area_m2.begin())));
}

void add_fields(SiteRun& run, const std::vector<FieldSiting>& fields, const SitingVoice& voice) {
    const std::vector<int> ranks = siting_ranks(fields);
    const auto pairs = pairs_in(fields);
    for (std::size_t i = 0; i < fields.size(); ++i) {
        FieldRecord& record = run.summary.fields[i];
        record.figures.push_back({"siting_rank", static_cast<double>(ranks[i]),
                                  "Place among the fields by the share that can be planted; 1 is the best"});
        add_areas(fields[i], pairs, record.figures);
        record.words.push_back(
            {"siting_most", largest_class(fields[i]), "Class of the largest part of the field"});
        record.words.push_back({"siting_reason", main_reason(fields[i]),
                                "The factor that takes most ground out of the class plant"});
        record.words.push_back(
            {"siting_verdict", siting_verdict(fields[i], voice), "The siting in a sentence"});
    }
}

/// Factors of which nothing at all is known, which aren't necessary: they count for nothing.
void note_unjudged(const std::vector<SitingEvidence>& evidence, const SitingRule& rule, Summary& summary) {
    FactorSet judged;
    for (const SitingEvidence& e : evidence) judged.set(static_cast<std::size_t>(e.factor));
    std::vector<std::string_view> left;
    for (std::size_t f = 0; f < siting_factors; ++f) {
        if (!judged[f] && !rule.necessary[f]) left.push_back(siting_factor_names.at(f));
    }
    if (!left.empty())
        summary.notes.push_back(
            fmt::format("siting: nothing is known of {}; ground is judged without", fmt::join(left, ", ")));
}

void note_frost(const SitingLayers& layers, Summary& summary) {
    if (layers.loss_years == nullptr && layers.loss_share != nullptr)
        summary.notes.emplace_back(
            "siting: without a thermometer's record frost is judged by the one night pictured, which may "
            "come "
            "every year or once in a life; give station.record");
}

PartRecord record_of(const SiteRun& run, const SitingAsks& asks,
                     const std::vector<SitingEvidence>& evidence) {
    PartRecord record{"siting", {}, {}};
    record.words.emplace_back("crop", *run.site.crop.kind);
    std::vector<std::string_view> names;
    names.reserve(evidence.size());
    for (const SitingEvidence& e : evidence) names.emplace_back(e.name);
    record.words.emplace_back("judged_by", fmt::format("{}", fmt::join(names, ", ")));
    for (const SitingAsk& ask : asks.told)
        record.words.emplace_back(
            fmt::format("limits_{}", ask.key),
            fmt::format("plant {}; with work {} ({})", ask.plant, ask.work, ask.source));
    return record;
}

void add_cautions(Summary& summary) {
    summary.cautions.emplace_back(
        "The siting is a screening by the limits told, no soil survey and no advice to drain, fill or plant: "
        "ask "
        "wetland and drainage law and local codes first, have a soil scientist look into pits, and put "
        "thermometers out for a spring. A soil survey can't see a wet half-acre.");
}

}  // namespace

/// Colours of this program's own: apart in lightness, so that they stay apart to every eye and in print.
std::span<const RasterClass> siting_class_colours() {
    static const std::vector<RasterClass> classes{
        {0, std::string(siting_class_names[0]), {38, 120, 168}},
        {1, std::string(siting_class_names[1]), {246, 208, 98}},
        {2, std::string(siting_class_names[2]), {128, 44, 58}},
        {3, std::string(siting_class_names[3]), {226, 222, 232}},
    };
    return classes;
}

void run_siting(SiteRun& run) {
    if (!run.site.crop.kind) {
        run.summary.notes.emplace_back("no siting: crop.kind isn't given");
        return;
    }
    begin_stage(run, "siting");
    const SoilFacts& soil = run.soil.facts;
    if (!has_hazards(run) && !says_anything(soil)) {
        run.summary.notes.emplace_back(
            "no siting: there are no layers to judge by; run night, water or drain with it, or name the "
            "results "
            "of an earlier run with --reuse");
        return;
    }
    const Grid& grid = run.dem.ground.grid;
    const SitingAsks asks = siting_asks(run.site);
    const Field<float> slope = ground_slope(grid, run.dem.ground.z, slope_length_m);
    const SitingLayers layers = layers_of(run, slope, soil);
    const std::vector<SitingEvidence> evidence = siting_evidence(layers, asks.limits);
    Siting siting = judge_siting(grid, run.dem.ground.known, evidence, asks.rule);
    std::vector<FieldSiting> fields;
    for (const FarmField& field : run.fields)
        fields.push_back(field_siting(grid, siting, evidence, asks.rule, {field.cells, field.share}));
    add_fields(run, fields,
               {*run.site.crop.kind, run.site.units, raster_axes(run.dem.geo), asks.limits.ph.plant_from,
                static_cast<double>(run.site.drain.days)});
    run.summary.notes.insert(run.summary.notes.end(), asks.notes.begin(), asks.notes.end());
    note_frost(layers, run.summary);
    note_unjudged(evidence, asks.rule, run.summary);
    add_cautions(run.summary);
    run.summary.parts.push_back(record_of(run, asks, evidence));
    write_rasters(run, siting);
}

}  // namespace lielow
