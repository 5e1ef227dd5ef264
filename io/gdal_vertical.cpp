// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_vertical.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <string_view>

#include "sim/errors.hpp"

namespace lielow::gdal {
namespace {

struct KnownUnit {
    std::string_view name;
    std::string_view plural;
    double metres;
    std::array<std::string_view, 11> spellings;  // lower case, '_' for ' ' and '-'
};

// Factors: EPSG dataset, units 9001 (metre), 9002 (foot, 0.3048 m) and 9003 (US survey foot, 1200/3937 m).
const KnownUnit kUnits[] = {
    {"m", "metres", 1.0, {"m", "metre", "metres", "meter", "meters"}},
    {"ft", "international feet", 0.3048, {"ft", "foot", "feet", "international_foot", "international_feet"}},
    {"us-ft",
     "US survey feet",
     1200.0 / 3937.0,
     {"us_ft", "ftus", "usft", "sft", "us_survey_foot", "us_survey_feet", "foot_us", "survey_foot",
      "survey_feet", "us_foot", "us_feet"}},
};

const KnownUnit* by_metres(double metres) {
    const auto* found = std::find_if(std::begin(kUnits), std::end(kUnits), [&](const KnownUnit& unit) {
        return std::abs(unit.metres - metres) < 1e-7 * metres;  // the two feet differ by 2e-6
    });
    return found == std::end(kUnits) ? nullptr : found;
}

const KnownUnit* by_spelling(std::string text) {
    for (char& c : text) {
        c = c == ' ' || c == '-' ? '_' : static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    }
    const auto* found = std::find_if(std::begin(kUnits), std::end(kUnits), [&](const KnownUnit& unit) {
        return std::find(unit.spellings.begin(), unit.spellings.end(), std::string_view(text)) !=
               unit.spellings.end();
    });
    return text.empty() || found == std::end(kUnits) ? nullptr : found;
}

/// Metres in one unit of the vertical axis; nothing when the CRS is horizontal only.
std::optional<double> vertical_axis(const OGRSpatialReference& crs, const std::string& file) {
    const bool three_axes = crs.GetAxesCount() == 3 && !crs.IsGeocentric();
    if (!crs.IsVertical() && !three_axes) return std::nullopt;
    OGRAxisOrientation orientation = OAO_Up;
    double metres = 0;
    crs.GetAxis(nullptr, crs.GetAxesCount() - 1, &orientation, &metres);
    if (orientation == OAO_Down) {
        throw InputError(
            fmt::format("{}'s vertical CRS counts downward (depths); give a raster of heights", file));
    }
    return crs.IsVertical() ? crs.GetTargetLinearUnits("VERT_CS") : metres;
}

VerticalUnit chosen(const KnownUnit& unit, const char* from) {
    return {std::string(unit.name), unit.metres, from};
}

bool differ(const KnownUnit* a, const KnownUnit* b) {
    return a != b && std::abs(a->metres - b->metres) > 1e-4;
}

VerticalUnit from_site(const std::string& requested, const KnownUnit* crs_unit, const KnownUnit* band_unit,
                       const std::string& file, std::vector<std::string>& notes) {
    const auto* unit = std::find_if(std::begin(kUnits), std::end(kUnits),
                                    [&](const KnownUnit& u) { return u.name == requested; });
    if (unit == std::end(kUnits)) {
        throw InputError(
            fmt::format("vertical_unit = \"{}\" for {} isn't known; use \"m\", \"ft\" or \"us-ft\"",
                        one_line(requested), file));
    }
    for (const KnownUnit* other : {crs_unit, band_unit}) {
        if (other == nullptr || !differ(other, unit)) continue;
        notes.push_back(fmt::format("{}: the file says {}, the site file says {}; the site file is followed",
                                    file, other->plural, unit->plural));
        break;
    }
    return chosen(*unit, "site file");
}

VerticalUnit from_file(const std::optional<double>& axis, const KnownUnit* crs_unit,
                       const std::string& band_text, const KnownUnit* band_unit, const std::string& file,
                       const std::string& key_prefix) {
    const std::string ask = key_prefix + "vertical_unit = \"m\" or \"ft\" under [ground]";
    if (axis && crs_unit == nullptr) {
        throw InputError(
            fmt::format("{}'s vertical CRS is in a unit of {} m; convert it or add {}", file, *axis, ask));
    }
    if (crs_unit == nullptr && band_text.empty()) {
        throw InputError(fmt::format("{} doesn't say its vertical unit; add {}", file, ask));
    }
    if (!band_text.empty() && band_unit == nullptr) {
        throw InputError(
            fmt::format("{}'s band is in \"{}\", which isn't metres or feet; convert it or add {}", file,
                        one_line(band_text), ask));
    }
    if (crs_unit != nullptr && band_unit != nullptr && differ(crs_unit, band_unit)) {
        throw InputError(
            fmt::format("{}'s vertical CRS says {} but its band says {}; say which is right with {}", file,
                        crs_unit->plural, band_unit->plural, ask));
    }
    return crs_unit != nullptr ? chosen(*crs_unit, "vertical CRS") : chosen(*band_unit, "band unit");
}

}  // namespace

VerticalUnit vertical_unit(const OGRSpatialReference& crs, const std::string& band_text,
                           const std::optional<std::string>& requested, const std::string& file,
                           std::vector<std::string>& notes, const std::string& key_prefix) {
    const std::optional<double> axis = vertical_axis(crs, file);
    const KnownUnit* crs_unit = axis ? by_metres(*axis) : nullptr;
    const KnownUnit* band_unit = by_spelling(band_text);
    const VerticalUnit unit = requested ? from_site(*requested, crs_unit, band_unit, file, notes)
                                        : from_file(axis, crs_unit, band_text, band_unit, file, key_prefix);
    notes.push_back(fmt::format("{}: heights are in {} (from the {}){}", file, by_metres(unit.metres)->plural,
                                unit.from, unit.name == "m" ? "" : ", converted to metres"));
    return unit;
}

}  // namespace lielow::gdal
