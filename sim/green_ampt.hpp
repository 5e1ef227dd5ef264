// SPDX-License-Identifier: Apache-2.0
// Water soaking into soil behind a sharp wetting front: f = K (1 + ψΔθ/F).
//
// Green & Ampt (1911, J. Agric. Sci. 4:1-24); ponding under rain: Mein & Larson (1973, Water Resour. Res.
// 9:384-394); soils: Rawls, Brakensiek & Miller (1983, J. Hydraul. Eng. 109:62-70, table from memory but for
// silt loam and silty clay), also in Chow, Maidment & Mays, "Applied Hydrology" (1988), table 4.3.1. Their K
// is of soil with trapped air, about half of what is saturated: never feed a survey's saturated conductivity.
//
// The state is F, the depth soaked in so far, alone. A pause in the rain leaves F as it is: no water moves on
// inside the soil, so after a pause it takes water no faster than before. That errs towards more runoff; over
// a day between two storms it errs much. The depth of standing water is left out of the suction head (it is
// centimetres against decimetres).
#pragma once

#include <span>
#include <string_view>

namespace lielow {

struct SoilTexture {
    std::string_view name;    ///< "sandy loam"
    double porosity = 0;      ///< m³/m³
    double fillable = 0;      ///< effective porosity θe, m³/m³
    double suction_m = 0;     ///< ψ at the wetting front, m
    double conductivity = 0;  ///< K, m/s
};

/// Rawls, Brakensiek & Miller (1983), from sand to clay.
std::span<const SoilTexture> soil_textures();

struct GreenAmptSoil {
    double conductivity = 0;  ///< K, m/s
    double suction_m = 0;     ///< ψ, m
    double deficit = 0;       ///< Δθ, m³/m³: pore space that is still empty
    [[nodiscard]] double suction_deficit() const { return suction_m * deficit; }
};

/// `saturation`: effective saturation before the storm, 0 dry to 1 full; Δθ = (1 − saturation) θe. Throws
/// InputError, naming the textures, for an unknown one, and for a saturation out of range.
GreenAmptSoil soil_of_texture(std::string_view texture, double saturation);

/// Throws InputError with a hint at the unit when a soil is out of range: K from 0 (sealed) or 1e-10 m/s
/// (0.00001 in/h) to 5e-4 m/s (70 in/h), ψ from 0 to 5 m, Δθ from 0 to 0.7.
void validate_soil(const GreenAmptSoil& soil);

/// Rate at which ponded water soaks in when F has, m/s; +inf into a dry soil.
double soaking_rate(const GreenAmptSoil& soil, double soaked_m);

/// F after `seconds` more under ponded water, from the implicit law, m.
double soaked_when_ponded(const GreenAmptSoil& soil, double soaked_m, double seconds);

/// F at which rain of `intensity` m/s begins to pond, m; +inf when it never does.
double ponding_depth(const GreenAmptSoil& soil, double intensity);

/// What soaks in, m, within `seconds` when `intensity` m/s falls on soil with F = `soaked_m` on which
/// `standing_m` of water stands; never more than there is. The moment of ponding within the time is exact.
double soaks_in(const GreenAmptSoil& soil, double soaked_m, double standing_m, double intensity,
                double seconds);

}  // namespace lielow
