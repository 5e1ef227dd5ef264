// SPDX-License-Identifier: Apache-2.0
// What a tuning tells people on stdout.
#include <fmt/format.h>

#include <cmath>

#include "io/people_units.hpp"
#include "tools/text_table.hpp"
#include "tools/tune_site.hpp"

namespace lielow {
namespace {

std::string with_unit(double value, const std::string& unit, int digits) {
    if (std::isnan(value)) return "-";
    return fmt::format("{:.{}g}{}{}", value, digits, unit.empty() ? "" : " ", unit);
}

/// A difference of temperatures, to a hundredth.
std::string apart(double kelvin, PeopleUnits units) {
    if (std::isnan(kelvin)) return "-";
    return fmt::format("{:.2f}", to_people(kelvin, PeopleQuantity::temperature_difference, units));
}

std::string degrees(PeopleUnits units) {
    return std::string(people_unit(PeopleQuantity::temperature_difference, units));
}

std::string parameters_text(const TuneResult& result) {
    const PeopleUnits units = result.site.units;
    TextTable table{{"parameter", "tuned", "standard error", "range"}, {}, false};
    const TunedParameter& first = result.parameters.front();
    if (first.effect) {
        table.head.push_back(fmt::format("effect on the error, {}", degrees(units)));
        table.head.push_back(fmt::format("its spread, {}", degrees(units)));
    } else if (first.variance) {
        table.head.insert(table.head.end(), {"share of the error's variance", "with the others"});
    }
    for (const TunedParameter& p : result.parameters) {
        std::vector<std::string> row{p.name, with_unit(p.unit.value(p.value), p.unit.unit, 4),
                                     with_unit(p.unit.difference(p.standard_error), p.unit.unit, 2),
                                     p.range.text};
        if (p.effect) {
            row.push_back(apart(p.effect->mean_absolute, units));
            row.push_back(apart(p.effect->deviation, units));
        } else if (p.variance) {
            row.push_back(fmt::format("{:.2f}", p.variance->first));
            row.push_back(fmt::format("{:.2f}", p.variance->total));
        }
        table.rows.push_back(std::move(row));
    }
    return to_text(table);
}

std::string correlations_text(const TuneResult& result) {
    std::string text;
    constexpr double strong = 0.9;
    for (std::int32_t i = 0; i < result.correlations.rows(); ++i) {
        for (std::int32_t j = 0; j < i; ++j) {
            const double r = result.correlations(i, j);
            if (!(std::abs(r) > strong)) continue;
            text += fmt::format(
                "{} and {} can hardly be told apart (correlation {:.2f}): other pairs fit as well; trust "
                "what "
                "they do together.\n",
                result.parameters[static_cast<std::size_t>(j)].name,
                result.parameters[static_cast<std::size_t>(i)].name, r);
        }
    }
    return text;
}

std::string loggers_text(const TuneResult& result) {
    const PeopleUnits units = result.site.units;
    TextTable table{{"logger", fmt::format("elevation, {}", people_unit(PeopleQuantity::height, units)),
                     fmt::format("bias, {}", degrees(units)), fmt::format("error, {}", degrees(units))},
                    {}};
    if (!result.left_out.empty()) {
        table.head.push_back(fmt::format("left out, {}", degrees(units)));
        table.head.push_back(fmt::format("straight line, {}", degrees(units)));
    }
    for (std::size_t k = 0; k < result.places.size(); ++k) {
        const TunePlace& place = result.places[k];
        std::vector<std::string> row{place.name,
                                     people_number(place.elevation_m, PeopleQuantity::height, units),
                                     apart(place.bias_k, units), apart(place.rms_k, units)};
        if (!result.left_out.empty()) {
            row.push_back(apart(result.left_out[k].model_rms_k, units));
            row.push_back(apart(result.left_out[k].line_rms_k, units));
        }
        table.rows.push_back(std::move(row));
    }
    return to_text(table);
}

std::string verdict(const TuneResult& result) {
    if (std::isnan(result.left_out_line_rms_k) || result.left_out.empty())
        return "With fewer than three loggers read at one time nothing shows whether this holds elsewhere.\n";
    const PeopleUnits units = result.site.units;
    const bool better = result.left_out_model_rms_k < result.left_out_line_rms_k;
    return fmt::format(
        "Each logger foretold from the others: tuned model {} {}, straight line of temperature on elevation "
        "{} "
        "{}: {}.\n",
        apart(result.left_out_model_rms_k, units), degrees(units), apart(result.left_out_line_rms_k, units),
        degrees(units),
        better ? "the model tells more than elevation alone"
               : "the model tells no more than elevation alone; don't trust it here");
}

}  // namespace

std::string tune_report(const TuneResult& result) {
    const PeopleUnits units = result.site.units;
    std::string text;
    for (const std::string& note : result.notes) text += fmt::format("Note: {}.\n", note);
    if (!result.notes.empty()) text += "\n";
    text += fmt::format(
        "Tuned to {} loggers, {} quarter-hourly means of the night of {} (clock: {}), by {} nights on cells "
        "of "
        "{:.4g} m x {:.4g} m.\n\n",
        result.places.size(), result.read.known(), result.night, result.clock, result.runs.size(),
        result.cell_width_m, result.cell_height_m);
    text += parameters_text(result) + correlations_text(result);
    text += fmt::format(
        "Error: {0} {3} as the site file stands, {1} {3} best of the first trials, {2} {3} tuned.\n",
        apart(result.site_rms_k, units), apart(result.design_rms_k, units), apart(result.rms_k, units),
        degrees(units));
    text += fmt::format(
        "What is left hangs together in time (correlation {:.2f} from one quarter hour to the next); the "
        "standard "
        "errors have been widened by {:.2g} for it.\n\n",
        result.lag_one, result.widened_by);
    text += loggers_text(result) + verdict(result);
    text +=
        "One night is not all nights: try the values on another night's loggers before you rely on them. A "
        "screening picture, not a forecast.\n";
    return text;
}

}  // namespace lielow
