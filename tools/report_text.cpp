// SPDX-License-Identifier: Apache-2.0
#include "tools/report_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <limits>

#include "tools/html_text.hpp"
#include "tools/report_still.hpp"

namespace lielow {
namespace {

using enum PeopleQuantity;

constexpr double kelvin_zero_c = 273.15;

std::string paragraph(const std::string& text) {
    return text.empty() ? text : fmt::format("<p>{}</p>", html_text(text));
}

double figure_of(const std::vector<NamedFigure>& figures, std::string_view name) {
    const auto at =
        std::find_if(figures.begin(), figures.end(), [&](const auto& f) { return f.name == name; });
    return at == figures.end() ? std::numeric_limits<double>::quiet_NaN() : at->value;
}

/// A heading on one line.
std::string flat(std::string text) {
    std::replace(text.begin(), text.end(), '\n', ' ');
    return html_text(text);
}

/// A true minus before a number, a dash for what isn't known.
std::string with_minus(const std::string& cell) {
    if (cell == "-") return "–";
    const bool negative =
        cell.size() > 1 && cell[0] == '-' && std::isdigit(static_cast<unsigned char>(cell[1])) != 0;
    return negative ? "−" + cell.substr(1) : cell;
}

std::string item(const std::string& text) {
    return fmt::format("<li>{}</li>", html_text(text));
}

}  // namespace

std::string html_table(const std::string& caption, const TextTable& table, bool words) {
    if (table.rows.empty()) return {};
    std::string html =
        fmt::format(R"(<div class="wide" tabindex="0" role="region" aria-label="{0}"><table{1}><caption>{0})"
                    "</caption><thead><tr>",
                    html_text(caption), words ? R"( class="words")" : "");
    for (const std::string& head : table.head) html += fmt::format(R"(<th scope="col">{}</th>)", flat(head));
    html += "</tr></thead><tbody>";
    for (const auto& row : table.rows) {
        html += "<tr>";
        for (std::size_t c = 0; c < row.size(); ++c)
            html += c == 0 ? fmt::format(R"(<th scope="row">{}</th>)", html_text(row[c]))
                           : fmt::format("<td>{}</td>", html_text(with_minus(row[c])));
        html += "</tr>";
    }
    return html + "</tbody></table></div>";
}

const PartRecord* report_part(const Summary& summary, std::string_view name) {
    const auto at = std::find_if(summary.parts.begin(), summary.parts.end(),
                                 [&](const PartRecord& p) { return p.name == name; });
    return at == summary.parts.end() ? nullptr : &*at;
}

double part_figure(const PartRecord& part, std::string_view name) {
    return figure_of(part.figures, name);
}

std::string part_word(const PartRecord& part, std::string_view name) {
    const auto at =
        std::find_if(part.words.begin(), part.words.end(), [&](const auto& w) { return w.first == name; });
    return at == part.words.end() ? std::string() : at->second;
}

std::string night_words(const Summary& summary, PeopleUnits units) {
    const PartRecord& night = *report_part(summary, "night");
    const auto degrees = [&](std::string_view name) {
        return people_text(part_figure(night, name) + kelvin_zero_c, temperature, units);
    };
    return paragraph(fmt::format(
               "The evening of {}: {} at sunset ({}), and a still night under {} until sunrise at {}. "
               "Temperatures "
               "are those of the air {} above the ground, at plant height.",
               part_word(night, "date"), degrees("evening_air_c"), part_word(night, "sunset"),
               part_figure(night, "cloud_share") > 0
                   ? fmt::format("{} cloud", people_text(part_figure(night, "cloud_share"), share, units))
                   : "a clear sky",
               part_word(night, "sunrise"),
               people_text(part_figure(night, "plant_height_m"), height, units))) +
           paragraph(fmt::format(
               "Places are compared with a reference spot: the {}, {} high. It falls to {} itself. Trust the "
               "differences between places more than the temperatures themselves.",
               part_word(night, "reference"),
               people_text(part_figure(night, "reference_elevation_m"), height, units),
               degrees("reference_low_c")));
}

std::string comes_from_html(const Summary& summary) {
    std::string items;
    for (const FieldRecord& field : summary.fields) {
        if (!field.cold_comes.empty())
            items +=
                fmt::format("<li><b>{}</b>: {}</li>", html_text(field.name), html_text(field.cold_comes));
    }
    return items.empty() ? items : "<h3>Where each field’s cold comes from</h3><ul>" + items + "</ul>";
}

std::string spots_table_html(const Summary& summary, PeopleUnits units) {
    TextTable table;
    table.head = {"spot", fmt::format("ground, {}", people_unit(height, units)),
                  fmt::format("lowest, {}", people_unit(temperature, units)), "at",
                  fmt::format("depth of the cold air then, {}", people_unit(height, units))};
    for (const SpotRecord& spot : summary.spots) {
        const auto at = std::find_if(spot.words.begin(), spot.words.end(),
                                     [](const auto& w) { return w.first == "lowest_at"; });
        table.rows.push_back(
            {spot.name, people_number(figure_of(spot.figures, "elevation_m"), height, units),
             people_number(figure_of(spot.figures, "lowest_c") + kelvin_zero_c, temperature, units),
             at == spot.words.end() ? "–" : at->second,
             people_number(figure_of(spot.figures, "cold_depth_at_lowest_m"), height, units)});
    }
    return html_table("The night at the named spots", table);
}

std::string water_words(const Summary& summary, PeopleUnits units) {
    const PartRecord& water = *report_part(summary, "water");
    return paragraph(
        fmt::format("Drag the water up from the low point: it covers what lies below its level over "
                    "connected ground. The level "
                    "asked for is {}; the lowest ground of the map lies at {}.",
                    people_text(part_figure(water, "stage_m"), height, units),
                    people_text(part_figure(water, "ground_low_point_m"), height, units)));
}

std::string storm_words(const Summary& summary, PeopleUnits units) {
    const PartRecord& water = *report_part(summary, "water");
    const PartRecord* storm = report_part(summary, "storm");
    std::string text = fmt::format(
        "{} of rain{}. What then stands in hollows comes to {} over {}.",
        people_text(part_figure(water, "storm_m"), small_depth, units),
        storm == nullptr ? "" : fmt::format(" in {:.3g} hours", part_figure(*storm, "rain_hours")),
        people_text(part_figure(water, "storm_ponded_m3"), volume, units),
        people_text(part_figure(water, "storm_ponded_m2"), area, units));
    const double deepest = part_figure(water, "storm_deepest_m");
    if (deepest > 0)
        text += fmt::format(" The deepest place is {} under water, at {}.",
                            people_text(deepest, height, units), part_word(water, "storm_deepest_at"));
    return paragraph(text);
}

std::string soil_words(const Summary& summary, PeopleUnits units) {
    const PartRecord& drain = *report_part(summary, "drain");
    return paragraph(fmt::format(
        "The water table through the {:.0f} days after the storm. Ground counts as wet while water stands "
        "within {} "
        "of the surface, where the roots want air.",
        part_figure(drain, "days"), people_text(part_figure(drain, "root_depth_m"), height, units)));
}

std::string springs_words(const Summary& summary, PeopleUnits units) {
    const PartRecord& night = *report_part(summary, "night");
    std::string text = fmt::format(
        "{} at {}: half an hour at {} kills a tenth of the flowers, at {} nine tenths of them ({}).",
        part_word(night, "crop"), part_word(night, "crop_stage"),
        people_text(part_figure(night, "crop_kills_10_percent_c") + kelvin_zero_c, temperature, units),
        people_text(part_figure(night, "crop_kills_90_percent_c") + kelvin_zero_c, temperature, units),
        part_word(night, "crop_basis"));
    const double springs = part_figure(night, "station_springs");
    if (std::isfinite(springs))
        text += fmt::format(
            " The thermometer’s record has {:.0f} springs, {:.0f} of them with damage where it stands. From "
            "it, and from "
            "how each place differs from there, follows how often each field loses flowers.",
            springs, part_figure(night, "station_damaging_springs"));
    text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
    return paragraph(text);
}

std::string springs_bars(const Summary& summary, PeopleUnits units) {
    std::string bars;
    for (const FieldRecord& field : summary.fields) {
        const double middle = figure_of(field.figures, "damaging_springs_share");
        const double low = figure_of(field.figures, "damaging_springs_low_share");
        const double high = figure_of(field.figures, "damaging_springs_high_share");
        if (!std::isfinite(middle + low + high)) continue;
        bars += fmt::format(
            R"(<div><span>{}</span><span class="track"><i style="left:{:.1f}%;width:{:.1f}%"></i>)"
            R"(<b style="left:{:.1f}%"></b></span><span>{} ({} to {})</span></div>)",
            html_text(field.name), 100 * low, 100 * (high - low), 100 * middle,
            people_text(middle, share, units), people_number(low, share, units),
            people_text(high, share, units));
    }
    if (bars.empty()) return bars;
    return fmt::format(
        R"(<h3>Share of springs with damage</h3><p class="small">Of all springs, 0 to 100 %. )"
        R"(The mark is the best figure, the )"
        R"(bar its 95 % interval by the length of the record alone.</p><div class="bars">{}</div>)",
        bars);
}

std::string sure_html(const Summary& summary, PeopleUnits units) {
    std::string items;
    if (const PartRecord* night = report_part(summary, "night")) {
        double greatest = 0;
        for (const FieldRecord& field : summary.fields) {
            const double edge = figure_of(field.figures, "edge_choice_k");
            if (std::isfinite(edge)) greatest = std::max(greatest, edge);
        }
        items +=
            item(fmt::format("The night is one night of its kind. Its differences between places are what to "
                             "use; a temperature by "
                             "itself may be off by more. What lies beyond the map’s edge could shift "
                             "temperatures by up to {}.",
                             people_text(greatest, temperature_difference, units)));
        if (const std::string width = part_word(*night, "crop_width"); !width.empty())
            items += item(fmt::format("How the loss grows with the cold is {} for this crop ({}).", width,
                                      part_word(*night, "crop_basis")));
        if (std::isfinite(part_figure(*night, "station_springs")))
            items += item(
                "How often springs do damage: the interval tells what the length of the record leaves open, "
                "not "
                "what the picture of the night may have wrong.");
    }
    if (const PartRecord* water = report_part(summary, "water")) {
        const double error = part_figure(*water, "storm_ponded_error_m3");
        if (std::isfinite(error))
            items += item(fmt::format(
                "Standing water: {}, give or take {} (standard error by the accuracy of the heights).",
                people_text(part_figure(*water, "storm_ponded_m3"), volume, units),
                people_text(error, volume, units)));
        items += item(
            "Water follows the ground as the elevations show it: a culvert, a ditch or a bank they don’t "
            "show can "
            "turn an answer round.");
    }
    return "<ul>" + items + "</ul>";
}

std::string confidence_html(const Summary& summary, PeopleUnits units) {
    const PartRecord& sure = *report_part(summary, "sure");
    const auto share_text = [&](std::string_view name) {
        return people_text(part_figure(sure, name), share, units);
    };
    TextTable table{{"field", "how sure", "settled, %", "what the runs agree on"}, {}};
    const auto words = [](const FieldRecord& field, std::string_view name) {
        const auto at = std::find_if(field.words.begin(), field.words.end(),
                                     [&](const NamedWords& w) { return w.name == name; });
        return at == field.words.end() ? std::string("–") : at->text;
    };
    for (const FieldRecord& field : summary.fields)
        table.rows.push_back({field.name, words(field, "confidence"),
                              people_number(figure_of(field.figures, "settled_share"), share, units),
                              words(field, "confidence_words")});
    return paragraph(fmt::format(
               "The site was run {:.0f} times more, each time with other errors of the heights and other "
               "figures that aren’t known well. Ground is settled where {} of the runs give one class; a "
               "field "
               "is sure with {} of it settled, fairly sure with {}, else open.",
               part_figure(sure, "runs"), share_text("agreement_share"), share_text("sure_from_share"),
               share_text("fairly_sure_from_share"))) +
           html_table("How sure the siting of each field is", table, true);
}

std::string inputs_table(const Summary& summary) {
    TextTable table;
    table.head = {"what", "file", "bytes", "SHA-256"};
    for (const InputRecord& input : summary.inputs)
        table.rows.push_back(
            {input.key, input.file, fmt::format("{}", input.fingerprint.bytes), input.fingerprint.sha256});
    return html_table("What went in", table, true);
}

std::string settings_table(const Summary& summary) {
    TextTable table;
    table.head = {"key", "value", "from"};
    for (const SiteSetting& setting : summary.settings)
        table.rows.push_back({std::string(setting.key), setting.text, setting.origin});
    return html_table("Settings", table, true);
}

}  // namespace lielow
