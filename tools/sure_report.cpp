// SPDX-License-Identifier: Apache-2.0
#include "tools/sure_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "tools/text_table.hpp"

namespace lielow {
namespace {

double figure_of(const std::vector<NamedFigure>& figures, std::string_view name) {
    const auto at =
        std::find_if(figures.begin(), figures.end(), [name](const NamedFigure& f) { return f.name == name; });
    return at == figures.end() ? std::numeric_limits<double>::quiet_NaN() : at->value;
}

std::string words_of(const FieldRecord& field, std::string_view name) {
    const auto at = std::find_if(field.words.begin(), field.words.end(),
                                 [name](const NamedWords& w) { return w.name == name; });
    return at == field.words.end() ? "-" : at->text;
}

std::string ensemble_text(const Summary& summary, PeopleUnits units) {
    const auto part = std::find_if(summary.parts.begin(), summary.parts.end(),
                                   [](const PartRecord& p) { return p.name == "sure"; });
    if (part == summary.parts.end()) return {};
    const auto share = [&](std::string_view name) {
        return people_text(figure_of(part->figures, name), PeopleQuantity::share, units);
    };
    std::string text = fmt::format(
        "How sure the siting is, by {:.0f} runs with other errors of the DEM and other figures (map "
        "not_here_share).\nGround is settled where {} of the runs give one class; a field is sure with {} of "
        "it settled, fairly sure with {}.\n\n",
        figure_of(part->figures, "runs"), share("agreement_share"), share("sure_from_share"),
        share("fairly_sure_from_share"));
    const bool coarse = figure_of(summary.fields.front().figures, "coarse_night_differs_share") >= 0;
    TextTable table{{"field", "how sure", "settled, %"}, {}};
    if (coarse) table.head.emplace_back("other class by\ncoarser cells, %");
    std::string sentences;
    for (const FieldRecord& field : summary.fields) {
        const auto percent = [&](std::string_view name) {
            return people_number(figure_of(field.figures, name), PeopleQuantity::share, units);
        };
        table.rows.push_back({field.name, words_of(field, "confidence"), percent("settled_share")});
        if (coarse) table.rows.back().push_back(percent("coarse_night_differs_share"));
        sentences += fmt::format("  {}: {}.\n", field.name, words_of(field, "confidence_words"));
    }
    return fmt::format("{}{}\n{}\n", text, to_text(table), sentences);
}

std::string spots_text(const Summary& summary) {
    if (summary.test_spots.empty()) return {};
    std::string text =
        "Where to look next (test_spots.gpx for a handheld; T: a thermometer for a spring, A: an auger "
        "hole). "
        "Call before\nyou dig: buried lines aren't in the picture.\n";
    for (const TestSpotRecord& spot : summary.test_spots)
        text += fmt::format("  {}, {} ({:.5f}, {:.5f}): {}.\n", spot.name, spot.field, spot.latitude_deg,
                            spot.longitude_deg, spot.reason);
    return text + "\n";
}

}  // namespace

std::string sure_report(const Summary& summary, PeopleUnits units) {
    return ensemble_text(summary, units) + spots_text(summary);
}

}  // namespace lielow
