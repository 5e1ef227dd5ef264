// SPDX-License-Identifier: Apache-2.0
#include "tools/run_site.hpp"

#include <fmt/format.h>
#include <omp.h>
#include <sys/resource.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <fstream>
#include <limits>
#include <optional>
#include <string_view>

#include "io/library_versions.hpp"
#include "io/people_units.hpp"
#include "sim/errors.hpp"
#include "tools/ensemble.hpp"
#include "tools/gis_item.hpp"
#include "tools/kept_layers.hpp"
#include "tools/layer_looks.hpp"
#include "tools/look_clues.hpp"
#include "tools/part_storm.hpp"
#include "tools/raster_styles.hpp"
#include "tools/read_ground.hpp"
#include "tools/report_page.hpp"
#include "tools/run_memory.hpp"
#include "tools/site_run.hpp"
#include "tools/site_soil.hpp"
#include "tools/siting_asks.hpp"
#include "tools/stop.hpp"
#include "tools/version.hpp"

namespace lielow {
namespace {

std::vector<Part> chosen_parts(const RunRequest& request) {
    std::vector<Part> parts;
    for (const Part& part : part_table()) {
        const bool chosen =
            std::find(request.only.begin(), request.only.end(), part.name) != request.only.end();
        if (request.only.empty() || chosen) parts.push_back(part);
    }
    return parts;
}

void read_inputs(SiteRun& run, const RunRequest& request) {
    begin_stage(run, "reading the ground");
    check_storm_run(run.site);
    check_ensemble(run.site);
    run.dem = read_site_dem(run.site);
    if (request.alter_ground) request.alter_ground(run.dem.ground);
    Summary& summary = run.summary;
    summary.notes = run.dem.notes;
    run.fields = read_site_fields(run.site, run.dem, summary.notes);
    run.obstacles = read_site_obstacles(run.site, run.dem, summary.notes);
    run.changes = read_site_changes(run.site, run.dem, run.obstacles, summary.notes);
    run.soil = site_soil_knowledge(run.site, run.dem, run.fields, summary.notes);
    check_site_soil(run.site, run.dem, run.soil.facts);
    (void)siting_asks(run.site);
    for (const FarmField& field : run.fields) summary.fields.push_back({field.name, field.area_m2, {}, {}});
    summary.version = version();
    summary.libraries = library_versions();
    summary.title = run.site.title;
    summary.site_file = run.site.file.filename().string();
    summary.inputs = input_records(run.site);
    for (const Remedy& remedy : run.site.done)
        summary.notes.push_back(fmt::format("with the remedy \"{}\": {}", remedy.name, remedy.text));
    summary.settings = run.site.settings;
    summary.ground = ground_record(run.dem);
    summary.cautions = {
        "A screening picture to compare places with: not a forecast of any night or flood, and not a design. "
        "Walk the ground."};
}

/// What makes a kept state that of this very run: version, inputs by their checksums, settings.
std::string run_key(const Summary& summary) {
    std::vector<std::string> texts{summary.version};
    for (const auto& [name, version] : summary.libraries) texts.push_back(name + " " + version);
    for (const InputRecord& input : summary.inputs)
        texts.push_back(input.key + " " + input.fingerprint.sha256);
    for (const SiteSetting& setting : summary.settings)
        texts.push_back(fmt::format("{} = {}", setting.key, setting.text));
    return key_of(texts);
}

void open_archive(SiteRun& run, const RunRequest& request) {
    run.resume = std::make_unique<ResumeFolder>(request.out, run_key(run.summary), request.resume);
    if (run.site.archive != "none") run.archive = std::make_unique<Archive>(run.summary, run.dem.geo);
}

void save_archive(SiteRun& run) {
    if (run.archive == nullptr || run.archive->empty()) return;
    begin_stage(run, "writing the archive");
    run.archive->save(run.staging.path("archive.nc"));
    run.archive.reset();
}

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

/// "degc", "m_s".
std::string column_unit(std::string unit) {
    std::replace(unit.begin(), unit.end(), '/', '_');
    return lower(std::move(unit));
}

/// Column `name` of the fields' layer, each field's value by `value_of`; no value where it isn't finite (a
/// stage never reached).
template <class ValueOf>
Column column(const std::string& name, const std::string& description, const std::vector<FieldRecord>& fields,
              ValueOf value_of) {
    std::vector<double> values;
    for (const FieldRecord& field : fields) {
        const double value = value_of(field);
        values.push_back(std::isfinite(value) ? value : std::numeric_limits<double>::quiet_NaN());
    }
    return {name, description, std::move(values)};
}

/// An area in m² stands in acres beside it, because that is what people in the field ask for.
std::optional<std::string> acres_name(const std::string& name) {
    constexpr std::string_view square_metres = "_m2";
    if (!name.ends_with(square_metres)) return std::nullopt;
    return name.substr(0, name.size() - square_metres.size()) + "_acres";
}

/// Every field has the same figures in the same order, because the parts add them for all fields at once.
std::vector<Column> field_columns(const std::vector<FieldRecord>& fields) {
    std::vector<Column> columns;
    const FieldRecord& first = fields.front();
    columns.push_back(column("area_acres", "Area of the outline, acres", fields, [](const FieldRecord& f) {
        return to_people(f.area_m2, PeopleQuantity::area, PeopleUnits::us);
    }));
    for (std::size_t i = 0; i < first.figures.size(); ++i) {
        columns.push_back(column(first.figures[i].name, first.figures[i].meaning, fields,
                                 [i](const FieldRecord& f) { return f.figures.at(i).value; }));
        if (const auto acres = acres_name(first.figures[i].name)) {
            columns.push_back(column(*acres, first.figures[i].meaning, fields, [i](const FieldRecord& f) {
                return to_people(f.figures.at(i).value, PeopleQuantity::area, PeopleUnits::us);
            }));
        }
    }
    if (!first.cold_comes.empty()) {
        std::vector<std::string> texts;
        texts.reserve(fields.size());
        for (const FieldRecord& field : fields) texts.push_back(field.cold_comes);
        columns.push_back({"cold_comes", "Where the field's cold comes from", std::move(texts)});
    }
    for (std::size_t i = 0; i < first.words.size(); ++i) {
        std::vector<std::string> texts;
        for (const FieldRecord& field : fields) texts.push_back(field.words.at(i).text);
        columns.push_back({first.words[i].name, first.words[i].meaning, std::move(texts)});
    }
    for (std::size_t i = 0; i < first.rasters.size(); ++i) {
        const RasterFigures& raster = first.rasters[i];
        const std::string unit = column_unit(raster.unit);
        const auto add = [&](const std::string& which, double RasterFigures::*member) {
            const bool bare = unit == "1";  // a share
            columns.push_back(column(
                fmt::format("{}_{}{}{}", raster.raster, which, bare ? "" : "_", bare ? "" : unit),
                fmt::format("{} in the field, {}: {}", which, bare ? "0 to 1" : raster.unit, raster.meaning),
                fields, [i, member](const FieldRecord& f) { return f.rasters.at(i).*member; }));
        };
        add("least", &RasterFigures::least);
        add("median", &RasterFigures::median);
        add("greatest", &RasterFigures::greatest);
    }
    return columns;
}

void write_vectors(SiteRun& run) {
    begin_stage(run, "writing the vectors");
    std::vector<VectorLayer> layers;
    layers.push_back(fields_layer(run.fields, field_columns(run.summary.fields)));
    for (VectorLayer& layer : run.layers) layers.push_back(std::move(layer));
    style_layers(layers);
    write_sites_gpkg(run.staging.path("sites.gpkg"), run.dem.geo, layers);
    run.progress.end();
}

void write_styles(SiteRun& run) {
    begin_stage(run, "styles of the maps");
    write_raster_styles(run.staging.path("rasters"), run.site.units);
    run.progress.end();
}

void write_catalogue(SiteRun& run) {
    begin_stage(run, "catalogue of the maps");
    write_gis_item(run);
    run.progress.end();
}

void write_summary(SiteRun& run) {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    run.summary.run.peak_memory_bytes = static_cast<std::uint64_t>(usage.ru_maxrss) * 1024;
    run.summary.run.notes = run.resume->notes();
    run.summary.run.threads = omp_get_max_threads();
    for (const StageTime& stage : run.progress.times())
        run.summary.run.stages.emplace_back(stage.name, stage.seconds);
    std::ofstream stream(run.staging.path("summary.json"), std::ios::binary);
    stream << summary_json(run.summary);
    stream.close();
    if (!stream) throw RunError("summary.json can't be written; is the disk full?");
}

}  // namespace

Summary run_site(Site site, const RunRequest& request, Progress& progress) {
    const std::vector<Part> parts = chosen_parts(request);
    for (const Part& part : parts) require_keys_for(site, part.name);
    judge_memory(site, request.most_memory_bytes);
    Staging staging(request.out);
    SiteRun run{std::move(site), progress, staging, {}, {}, {}, {}, {}, {}, {}};
    for (const Part& part : parts) run.chosen.push_back(part.name);
    run.reuse = request.reuse;
    run.out = request.out;
    read_inputs(run, request);
    prepare_layers(run);
    open_archive(run, request);
    prepare_look(run);
    for (const Part& part : parts) part.run(run);
    save_archive(run);
    write_vectors(run);
    if (request.styles) write_styles(run);
    if (request.report) write_report(run, request.out / "compare");
    if (request.styles) write_catalogue(run);
    write_summary(run);
    throw_if_stopped();
    staging.commit();
    run.resume->remove();
    return std::move(run.summary);
}

}  // namespace lielow
