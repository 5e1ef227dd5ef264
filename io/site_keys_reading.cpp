// SPDX-License-Identifier: Apache-2.0
// Keys that say how a night is read: hours below, flow, spots.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/number_text.hpp"
#include "io/site_key_groups.hpp"
#include "io/spots.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr std::size_t most_thresholds = 6;

/// "32 degF, 28 degF" in K.
std::vector<double> temperatures(std::string_view text) {
    std::vector<double> all;
    const double low = parse_quantity("-40 degC", Dimension::temperature);
    const double high = parse_quantity("50 degC", Dimension::temperature);
    while (true) {
        const auto end = std::min(text.find(','), text.size());
        const double t = parse_quantity(trim(text.substr(0, end)), Dimension::temperature);
        if (!(t >= low && t <= high))
            throw InputError(fmt::format("\"{}\" is out of range; it must lie from -40 degC to 50 degC",
                                         trim(text.substr(0, end))));
        constexpr double alike = 0.01;  // K
        if (std::any_of(all.begin(), all.end(), [t](double other) { return std::abs(t - other) < alike; }))
            throw InputError(fmt::format("\"{}\" stands there twice", trim(text.substr(0, end))));
        all.push_back(t);
        if (end == text.size()) break;
        text.remove_prefix(end + 1);
    }
    if (all.size() > most_thresholds)
        throw InputError(
            fmt::format("{} temperatures are too many; give up to {}", all.size(), most_thresholds));
    return all;
}

void set_hours_below(Site& site, const SiteValue& value) {
    try {
        site.night.hours_below_k = temperatures(value.text);
    } catch (const InputError& error) {
        throw InputError(fmt::format("night.hours_below: {}", error.what()));
    }
}

/// "04:00", seconds after midnight.
void set_flow_hour(Site& site, const SiteValue& value) {
    std::string_view text = value.text;
    const auto hour = take_number(text);
    const bool colon = text.starts_with(':');
    if (colon) text.remove_prefix(1);
    const bool two_digits = text.size() == 2;
    const auto minute = take_number(text);
    const bool whole = hour && minute && *hour == std::floor(*hour) && *minute == std::floor(*minute);
    if (!whole || !colon || !two_digits || !text.empty() || !(*hour >= 0 && *hour < 24) ||
        !(*minute >= 0 && *minute < 60)) {
        throw InputError(
            fmt::format(R"(night.flow_hour: "{}" is no time of day; write "04:00")", value.text));
    }
    site.night.flow_hour_s = *hour * 3600 + *minute * 60;
}

void set_spots(Site& site, const SiteValue& value) {
    try {
        check_spot_names(spots_in_text(value.text), "");
    } catch (const InputError& error) {
        throw InputError(fmt::format("spots.at: {}", error.what()));
    }
    site.spots.at = value.text;
}

}  // namespace

std::vector<SiteKey> night_reading_keys() {
    return {
        {.name = "night.hours_below",
         .example = R"("32 degF, 28 degF" or "0 degC")",
         .fallback = R"("32 degF")",
         .meaning = "air temperatures at plant height for which the hours below are counted, up to six, with "
                    "commas between them",
         .source = "freezing point of water",
         .set = set_hours_below},
        {.name = "night.flow_height",
         .kind = KeyKind::quantity,
         .low = "1 ft",
         .high = "300 ft",
         .example = R"("10 ft" or "3 m")",
         .fallback = R"("10 ft")",
         .meaning =
             "flow of the cold air, on maps, arrows, paths and at spots, is the mean of the cold air up "
             "to this height above the ground",
         .source = "a choice of this program, no published source: the air among and just above bushes",
         .set = [](Site& s, const SiteValue& v) { s.night.flow_height_m = v.number; }},
        {.name = "night.flow_hour",
         .example = R"("04:00")",
         .otherwise = "the mean of the night",
         .meaning = "clock time, as for night.utc_offset, at which the flow is mapped and drawn as arrows; "
                    "paths are always those of the night's mean",
         .set = set_flow_hour},
    };
}

std::vector<SiteKey> spot_keys() {
    return {
        {.name = "spots.file",
         .kind = KeyKind::path,
         .example = R"("spots.gpkg" or "spots.csv")",
         .otherwise = "no file of spots",
         .meaning = "named places whose night is told hour by hour: points with a name, or a CSV table with "
                    "the columns name and x, y (in the ground's CRS) or lon, lat (degrees)",
         .set = [](Site& s, const SiteValue& v) { s.spots.file = v.path; }},
        {.name = "spots.at",
         .example = R"("Gate: 431250.0, 4512800.0; Pond: 431300.0, 4512700.0")",
         .otherwise = "no further spots",
         .meaning = "the same written here: name, colon, map position x, y in the ground's CRS; semicolons "
                    "between them",
         .set = set_spots},
    };
}

}  // namespace lielow
