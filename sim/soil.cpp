// SPDX-License-Identifier: Apache-2.0
#include "sim/soil.hpp"

#include <charconv>
#include <string>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double tightest_m_s = 1e-9;
constexpr double loosest_m_s = 0.02;
constexpr double least_porosity = 0.002;
constexpr double greatest_porosity = 0.5;

/// Three digits, as a person would write it.
std::string digits(double value) {
    char text[32];
    const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::general, 3).ptr;
    return {text, end};
}

bool is_soil(double conductivity_m_s) {
    return conductivity_m_s >= tightest_m_s && conductivity_m_s <= loosest_m_s;
}

/// The number a person may have written, in the unit they may have meant.
std::string meant(double written) {
    constexpr double mm_h = 1e-3 / 3600;
    constexpr double cm_d = 1e-2 / 86400;
    constexpr double um_s = 1e-6;
    std::string hint;
    for (const auto& [unit, size] : {std::pair{"mm/h", mm_h}, {"cm/day", cm_d}, {"um/s", um_s}}) {
        if (!is_soil(written * size)) continue;
        hint += (hint.empty() ? "" : " or ") + digits(written) + " " + unit;
    }
    return hint;
}

}  // namespace

void check_conductivity(double conductivity_m_s) {
    if (is_soil(conductivity_m_s)) return;
    std::string text = "a conductivity of " + digits(conductivity_m_s) +
                       " m/s can't be a soil's; it must lie from 1e-9 m/s (tight clay) to 0.02 m/s (gravel)";
    const std::string hint = conductivity_m_s > loosest_m_s ? meant(conductivity_m_s) : "";
    if (!hint.empty()) text += "; was " + hint + " meant?";
    if (conductivity_m_s > 0 && conductivity_m_s < tightest_m_s)
        text += "; was the unit divided twice (mm/h and cm/day are not m/s)?";
    throw InputError(text);
}

void check_drainable_porosity(double share) {
    if (share >= least_porosity && share <= greatest_porosity) return;
    std::string text = "a drainable porosity of " + digits(share) +
                       " can't be; it is a share of the volume from 0.002 to 0.5";
    if (share > greatest_porosity && share <= 100 * greatest_porosity)
        text += "; " + digits(share) + " percent is " + digits(share / 100);
    throw InputError(text);
}

}  // namespace lielow
