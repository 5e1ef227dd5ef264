// SPDX-License-Identifier: Apache-2.0
#include "tools/report_page.hpp"

#include <ctemplate/template.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>
#include <numbers>

#include "sim/errors.hpp"
#include "tools/html_text.hpp"
#include "tools/raster_axes.hpp"
#include "tools/report_bundle.hpp"
#include "tools/report_data.hpp"
#include "tools/report_night.hpp"
#include "tools/report_siting.hpp"
#include "tools/report_text.hpp"
#include "tools/report_verdict.hpp"
#include "tools/run_table.hpp"

namespace lielow {
namespace {

using Json = nlohmann::ordered_json;
using ctemplate::TemplateDictionary;

double north_deg(const GeoReference& geo) {
    const RasterAxes axes = raster_axes(geo);
    return std::atan2(axes.x_north, -axes.y_north) * 180 / std::numbers::pi;
}

std::string relief_address(const Grid& grid, const Field<float>& z) {
    constexpr int greys = 48;
    Field<std::uint8_t> shade = hillshade(grid, z);
    std::vector<PaletteColour> palette(greys);
    for (int n = 0; n < greys; ++n) {
        const auto light = static_cast<std::uint8_t>(60 + 195 * n / (greys - 1));
        palette[static_cast<std::size_t>(n)] = {light, light, light, 255};
    }
    for (std::uint8_t& v : shade.all()) v = static_cast<std::uint8_t>(v * greys / 256);
    return png_address(shade, palette);
}

Field<std::uint8_t> field_numbers(const SiteRun& run) {
    constexpr std::size_t most_fields = 254;
    const Grid& grid = run.dem.ground.grid;
    Field<std::uint8_t> number(grid.rows, grid.cols, kNoClass);
    for (std::size_t f = 0; f < std::min(most_fields, run.fields.size()); ++f) {
        const FarmField& field = run.fields[f];
        for (std::size_t n = 0; n < field.cells.size(); ++n) {
            if (field.share[n] >= 0.5F) number[field.cells[n]] = static_cast<std::uint8_t>(f);
        }
    }
    return number;
}

ReportGround gather(const SiteRun& run) {
    const Grid& grid = run.dem.ground.grid;
    ReportGround ground;
    ground.every = thinning(grid.rows, grid.cols, most_report_cells);
    ground.cell_x_m = grid.dx * ground.every;
    ground.cell_y_m = grid.dy * ground.every;
    ground.field_number = thinned(field_numbers(run), ground.every);
    ground.layers = report_layers(run.staging.path("rasters"), ground.every, run.site.units);
    const Field<float> z = thinned(run.dem.ground.z, ground.every);
    const Grid few{z.rows(), z.cols(), ground.cell_x_m, ground.cell_y_m};
    ground.still = {grid, north_deg(run.dem.geo), relief_address(few, z), run.site.units, {}};
    if (run.site.ground.fields)
        ground.still.fields = read_result_shapes(run.staging.path("sites.gpkg"), "fields", grid, run.dem.geo);
    std::vector<std::string> names;
    for (const FarmField& field : run.fields) names.push_back(field.name);
    ground.places = test_places(run.summary.test_spots, grid, run.dem.geo);
    if (!ground.places.empty()) return ground;
    ground.places =
        measure_places(ground.layers, ground.field_number, names, ground.cell_x_m, ground.cell_y_m);
    return ground;
}

/// Words for who can't see a layer's map: each field's range.
std::string told(const Summary& summary, const ReportLayer& layer) {
    std::string text = fmt::format("Map: {}.", layer.look.title);
    for (const FieldRecord& field : summary.fields) {
        for (const RasterFigures& r : field.rasters) {
            if (r.raster == layer.look.raster && std::isfinite(r.least))
                text += fmt::format(" {}: {} to {} {}.", field.name, layer.unit.number(r.least),
                                    layer.unit.number(r.greatest), layer.unit.name);
        }
    }
    return text;
}

/// Fills the page's template. Every value goes in escaped but for those that are HTML already.
class Page {
  public:
    Page(const SiteRun& run, const ReportGround& ground, const Remedies& remedies)
        : run_(run),
          summary_(run.summary),
          units_(run.site.units),
          ground_(ground),
          remedies_(remedies),
          json_(Json::parse(summary_json(run.summary))),
          tables_(run_tables(run.summary, run.site.units)),
          dictionary_("page") {}

    std::string body() {
        head();
        verdicts();
        if (has("night")) night();
        if (has("water")) water();
        if (has("drain")) soil();
        if (has("siting")) siting();
        if (remedies_.there) remedies();
        if (springs_computed()) springs();
        part("sure", "How sure");
        if (!ground_.places.empty()) next();
        part("cautions", "Cautions");
        part("made", "How computed");
        sure();
        ends();
        const std::string_view page = report_bundle().page;
        const std::unique_ptr<ctemplate::Template> filled(
            ctemplate::Template::StringToTemplate({page.data(), page.size()}, ctemplate::STRIP_BLANK_LINES));
        std::string text;
        if (!filled || !filled->Expand(&text, &dictionary_))
            throw RunError("the report's page can't be filled");
        return text;
    }

  private:
    [[nodiscard]] bool has(std::string_view name) const { return report_part(summary_, name) != nullptr; }
    [[nodiscard]] bool springs_computed() const {
        return find_layer(ground_.layers, "loss_share") != nullptr;
    }
    void text(const char* name, const std::string& value) { dictionary_.SetValue(name, html_text(value)); }
    void html(const char* name, const std::string& value) { dictionary_.SetValue(name, value); }
    void part(const char* id, const char* name) {
        TemplateDictionary& entry = *dictionary_.AddSectionDictionary("NAV");
        entry.SetValue("ID", id);
        entry.SetValue("NAME", name);
    }
    std::string still(const char* layer) const {
        const ReportLayer* found = find_layer(ground_.layers, layer);
        return found == nullptr ? std::string() : still_map(ground_.still, *found, told(summary_, *found));
    }

    void head() {
        part("glance", "Glance");
        text("TITLE", summary_.title);
        std::vector<std::string> facts;
        facts.push_back(fmt::format("{:.0f} {} of ground",
                                    to_people(summary_.ground.known_area_m2, PeopleQuantity::area, units_),
                                    people_unit(PeopleQuantity::area, units_)));
        if (run_.site.ground.fields) facts.push_back(fmt::format("{} fields", summary_.fields.size()));
        if (run_.site.crop.kind) facts.push_back(*run_.site.crop.kind);
        if (const PartRecord* night = report_part(summary_, "night"))
            facts.push_back(fmt::format("the night of {}", part_word(*night, "date")));
        text("FACTS", fmt::format("{}", fmt::join(facts, " · ")));
        text("SCREENING", summary_.cautions.front());
    }

    void verdicts() {
        for (const std::size_t f : fields_by_rank(json_)) {
            const FieldRecord& field = summary_.fields[f];
            TemplateDictionary& entry = *dictionary_.AddSectionDictionary("VERDICT");
            entry.SetValue("NAME", html_text(field.name));
            entry.SetValue("AREA", html_text(people_text(field.area_m2, PeopleQuantity::area, units_)));
            const std::string sited = siting_lead(json_["fields"][f]);
            entry.SetValue("TEXT", html_text(sited.empty() ? field_verdict(field, units_) : sited));
            const std::string rest = siting_rest(json_["fields"][f], units_);
            if (!rest.empty()) entry.AddSectionDictionary("REST")->SetValue("TEXT", html_text(rest));
        }
        const char* const first = has("siting")  ? "siting"
                                  : has("night") ? "night_offset"
                                                 : "field_fill_stage";
        dictionary_.SetValue("GLANCE_FIRST", first);
        html("GLANCE_STILL", still(first));
    }

    void night() {
        part("night", "Night");
        dictionary_.ShowSection("NIGHT");
        html("NIGHT_WORDS", night_words(summary_, units_));
        text("NIGHT_CELL", people_text(part_figure(*report_part(summary_, "night"), "cell_width_m"),
                                       PeopleQuantity::height, units_));
        html("NIGHT_STILL", still(has("siting") ? "night_offset" : "night_low"));
        html("NIGHT_TABLE", html_table("Lowest air temperatures of the night", tables_.night));
        html("COMES_FROM", comes_from_html(summary_));
        if (summary_.spots.empty()) return;
        dictionary_.ShowSection("SPOTS");
        html("SPOTS_TABLE", spots_table_html(summary_, units_));
    }

    void water() {
        part("water", "Water");
        dictionary_.ShowSection("WATER");
        html("WATER_WORDS", water_words(summary_, units_));
        html("WATER_STILL", stage_still());
        html("WATER_TABLE", html_table("The water over each field", tables_.water));
        if (find_layer(ground_.layers, "storm_depth") == nullptr) return;
        dictionary_.ShowSection("STORM");
        html("STORM_WORDS", storm_words(summary_, units_));
        html("STORM_STILL", still("storm_depth"));
        html("STORM_TABLE", html_table("The storm in each field", tables_.storm));
        html("STORMS_TABLE", html_table("Storms of other sizes", tables_.storms));
    }

    /// The water at the level asked for: in the fields where there are any.
    [[nodiscard]] std::string stage_still() const {
        for (const char* name : {"field_fill_depth", "fill_depth"}) {
            auto grid =
                read_result_grid(run_.staging.path(fmt::format("rasters/{}.tif", name)), ground_.every);
            if (!grid) continue;
            ReportLayer layer = stage_layer(units_);
            layer.grid = std::move(*grid);
            layer.look.raster = name;
            layer.look.title =
                fmt::format("Water {} above {}",
                            people_text(part_figure(*report_part(summary_, "water"), "stage_m"),
                                        PeopleQuantity::height, units_),
                            std::string_view(name) == "fill_depth" ? "the lowest ground on the map"
                                                                   : "each field’s own low point");
            return still_map(ground_.still, layer, told(summary_, layer));
        }
        return {};
    }

    void soil() {
        part("soil", "Soil");
        dictionary_.ShowSection("SOIL");
        html("SOIL_WORDS", soil_words(summary_, units_));
        html("SOIL_STILL", still("drain_days"));
        html("SOIL_TABLE", html_table("Days after the storm", tables_.drain));
    }

    void siting() {
        part("siting", "Where to plant");
        dictionary_.ShowSection("SITING");
        html("SITING_WORDS", siting_words_html(json_));
        html("SITING_STILL", still("siting_reason"));
        html("SITING_TABLE", siting_table_html(json_, units_) + siting_reasons_html(json_));
        html("SITING_ASKS", siting_asks_html(json_));
    }

    void remedies() {
        part("remedies", "Remedies");
        dictionary_.ShowSection("REMEDIES");
        html("REMEDY_WORDS", remedies_.of_this_site ? "<p>The same night and storm without and with each "
                                                      "remedy. Cold air and water that are kept off a field "
                                                      "go somewhere: look at the neighbours’ ground, too.</p>"
                                                    : "<p>A comparison lies beside these results, but it was "
                                                      "made from other inputs; run “lielow compare” again, "
                                                      "then “lielow run”.</p>");
        html("REMEDY_TABLE", remedies_.table);
        if (!remedies_.pairs.empty()) dictionary_.ShowSection("SWIPE");
    }

    void springs() {
        part("springs", "Springs lost");
        dictionary_.ShowSection("SPRINGS");
        html("SPRINGS_WORDS", springs_words(summary_, units_));
        html("SPRINGS_BARS", springs_bars(summary_, units_));
        html("SPRINGS_STILL",
             still(find_layer(ground_.layers, "loss_years") == nullptr ? "loss_share" : "loss_years"));
        html("CROP_TABLE", html_table("What the cold does to the crop", tables_.crop));
    }

    void sure() {
        html("SURE", sure_html(summary_, units_));
        if (!has("sure")) return;
        html("SURE_FIELDS", confidence_html(summary_, units_));
        dictionary_.ShowSection("SURE_MAP");
        html("SURE_STILL", still("not_here_share"));
    }

    void next() {
        part("next", "Measure next");
        dictionary_.ShowSection("NEXT");
        StillGround marked = ground_.still;
        for (const MeasurePlace& p : ground_.places)
            marked.spots.push_back({summary_.test_spots.empty() ? "" : p.what, p.x_m, p.y_m});
        const char* const first = has("siting") ? "siting" : "night_offset";
        dictionary_.SetValue("NEXT_FIRST", first);
        if (const ReportLayer* layer = find_layer(ground_.layers, first))
            html("NEXT_STILL", still_map(marked, *layer, told(summary_, *layer)));
        if (summary_.test_spots.empty()) {
            html("NEXT_WORDS", measure_html(ground_.places, run_.dem.ground.grid, run_.dem.geo, units_));
        } else {
            html("NEXT_WORDS", test_spots_html(summary_.test_spots, units_));
        }
    }

    void ends() {
        for (const std::string& caution : summary_.cautions)
            dictionary_.AddSectionDictionary("CAUTION")->SetValue("TEXT", html_text(caution));
        if (!summary_.notes.empty()) {
            TemplateDictionary& notes = *dictionary_.AddSectionDictionary("NOTES");
            for (const std::string& note : summary_.notes)
                notes.AddSectionDictionary("NOTE")->SetValue("TEXT", html_text(note));
        }
        text("VERSION", summary_.version);
        std::vector<std::string> libraries;
        for (const auto& [name, version] : summary_.libraries)
            libraries.push_back(fmt::format("{} {}", name, version));
        text("LIBRARIES", fmt::format("{}", fmt::join(libraries, ", ")));
        text("THINNED",
             ground_.every == 1
                 ? "The maps in this page show every cell of the elevation raster."
                 : fmt::format(
                       "The maps in this page show the middle one of every {0} × {0} cells; the rasters "
                       "beside it have them all.",
                       ground_.every));
        html("INPUTS_TABLE", inputs_table(summary_));
        html("SETTINGS_TABLE", settings_table(summary_));
        text("LICENCES", std::string(report_bundle().licences));
    }

    const SiteRun& run_;
    const Summary& summary_;
    PeopleUnits units_;
    const ReportGround& ground_;
    const Remedies& remedies_;
    Json json_;
    RunTables tables_;
    TemplateDictionary dictionary_;
};

/// JSON that may stand inside a script element: no "<".
std::string script_json(const Json& json) {
    std::string safe;
    for (const char c : json.dump(-1, ' ', false, Json::error_handler_t::replace)) {
        if (c == '<') {
            safe += "\\u003c";
        } else {
            safe += c;
        }
    }
    return safe;
}

/// Nothing but what stands in the page is ever loaded.
constexpr const char* policy =
    "default-src 'none'; img-src data: blob:; style-src 'unsafe-inline'; script-src 'unsafe-inline'";

}  // namespace

void write_report(SiteRun& run, const std::filesystem::path& compare_folder) {
    begin_stage(run, "writing the report");
    const ReportGround ground = gather(run);
    const Json inputs = Json::parse(summary_json(run.summary)).at("inputs");
    const Remedies remedies = read_remedies(compare_folder, inputs, ground.layers, ground.every,
                                            ground.cell_x_m, ground.cell_y_m, run.site.units);
    const ReportBundle bundle = report_bundle();
    std::ofstream stream(run.staging.path("report.html"), std::ios::binary);
    stream << "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
           << "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
           << "<meta http-equiv=\"Content-Security-Policy\" content=\"" << policy << "\">\n"
           << "<title>" << html_text(run.summary.title) << "</title>\n<style>" << bundle.style << "</style>\n"
           << "</head>\n<body>\n"
           << relief_svg(ground.still) << Page(run, ground, remedies).body()
           << "<script type=\"application/json\" id=\"data\">"
           << script_json(report_data(run, ground, remedies)) << "</script>\n<script>" << bundle.script
           << "</script>\n</body>\n</html>\n";
    stream.close();
    if (!stream) throw RunError("report.html can't be written; is the disk full?");
    run.progress.end();
}

}  // namespace lielow
