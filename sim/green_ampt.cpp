// SPDX-License-Identifier: Apache-2.0
#include "sim/green_ampt.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double cm = 0.01;
constexpr double cm_h = 0.01 / 3600;

constexpr std::array<SoilTexture, 11> textures{{
    {"sand", 0.437, 0.417, 4.95 * cm, 11.78 * cm_h},
    {"loamy sand", 0.437, 0.401, 6.13 * cm, 2.99 * cm_h},
    {"sandy loam", 0.453, 0.412, 11.01 * cm, 1.09 * cm_h},
    {"loam", 0.463, 0.434, 8.89 * cm, 0.34 * cm_h},
    {"silt loam", 0.501, 0.486, 16.68 * cm, 0.65 * cm_h},
    {"sandy clay loam", 0.398, 0.330, 21.85 * cm, 0.15 * cm_h},
    {"clay loam", 0.464, 0.309, 20.88 * cm, 0.10 * cm_h},
    {"silty clay loam", 0.471, 0.432, 27.30 * cm, 0.10 * cm_h},
    {"sandy clay", 0.430, 0.321, 23.90 * cm, 0.06 * cm_h},
    {"silty clay", 0.479, 0.423, 29.22 * cm, 0.05 * cm_h},
    {"clay", 0.475, 0.385, 31.63 * cm, 0.03 * cm_h},
}};

}  // namespace

std::span<const SoilTexture> soil_textures() {
    return textures;
}

GreenAmptSoil soil_of_texture(std::string_view texture, double saturation) {
    if (!(saturation >= 0) || !(saturation <= 1))
        throw InputError("the soil's saturation before the storm lies between 0 (dry) and 1 (full)");
    std::string names;
    for (const SoilTexture& t : textures) {
        if (t.name == texture) return {t.conductivity, t.suction_m, (1 - saturation) * t.fillable};
        names += (names.empty() ? "" : ", ") + std::string(t.name);
    }
    throw InputError("no soil texture \"" + std::string(texture) + "\"; known are " + names);
}

void validate_soil(const GreenAmptSoil& soil) {
    const double k = soil.conductivity;
    if (!(k >= 0)) throw InputError("the soil's conductivity is negative; soil takes water or it doesn't");
    if (k > 5e-4) {
        throw InputError(
            "the soil's conductivity is above 1.8 m/h (70 in/h), more than clean gravelly sand passes; "
            "sand has 12 cm/h, loam 0.34 cm/h: was it in cm/h, mm/h or µm/s?");
    }
    if (k > 0 && k < 1e-10) {
        throw InputError(
            "the soil's conductivity is below 0.0004 mm/h, less than puddled clay; clay has 0.3 "
            "mm/h: is its unit right? Give 0 for sealed ground");
    }
    if (!(soil.suction_m >= 0) || !(soil.suction_m <= 5))
        throw InputError("the suction at the wetting front lies between 0 and 5 m (sand 5 cm, clay 32 cm)");
    if (!(soil.deficit >= 0) || !(soil.deficit <= 0.7))
        throw InputError("the soil's empty pore space lies between 0 and 0.7 of its volume");
}

double soaking_rate(const GreenAmptSoil& soil, double soaked_m) {
    const double pull = soil.suction_deficit();
    if (!(soil.conductivity > 0)) return 0;
    if (!(pull > 0)) return soil.conductivity;
    return soaked_m > 0 ? soil.conductivity * (1 + pull / soaked_m) : infinity;
}

double soaked_when_ponded(const GreenAmptSoil& soil, double soaked_m, double seconds) {
    const double pull = soil.suction_deficit();
    const double through = soil.conductivity * seconds;
    if (!(pull > 0) || !(through > 0)) return soaked_m + through;
    // ln(1 + x) ≈ 2x/(2 + x) makes the law a quadratic (Li, Stevens & Simons 1976, J. Irrig. Drain. Div. ASCE
    // 102:239-248); Newton's rule takes it from there.
    const double b = through - 2 * soaked_m;
    double more = 0.5 * (b + std::sqrt(b * b + 8 * through * (pull + soaked_m)));
    for (int n = 0; n < 20; ++n) {
        const double rest = more - pull * std::log1p(more / (pull + soaked_m)) - through;
        const double step = rest * (pull + soaked_m + more) / (soaked_m + more);
        more -= step;
        if (std::abs(step) <= 1e-13 * more) break;
    }
    return soaked_m + more;
}

double ponding_depth(const GreenAmptSoil& soil, double intensity) {
    if (!(intensity > soil.conductivity)) return infinity;
    return soil.conductivity * soil.suction_deficit() / (intensity - soil.conductivity);
}

double soaks_in(const GreenAmptSoil& soil, double soaked_m, double standing_m, double intensity,
                double seconds) {
    const double there = standing_m + intensity * seconds;
    if (!(there > 0) || !(soil.conductivity > 0)) return 0;
    // The rate only falls, so what the last moment could take lasts for all of it.
    if (there <= seconds * soaking_rate(soil, soaked_m + there)) return there;
    double until_ponded = 0;
    double taken = 0;
    if (!(standing_m > 0)) {
        const double ponds_at = ponding_depth(soil, intensity);
        if (ponds_at > soaked_m) until_ponded = std::min(seconds, (ponds_at - soaked_m) / intensity);
        taken = intensity * until_ponded;
    }
    const double reached = soaked_when_ponded(soil, soaked_m + taken, seconds - until_ponded);
    return std::min(there, reached - soaked_m);
}

}  // namespace lielow
