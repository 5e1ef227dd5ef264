// SPDX-License-Identifier: Apache-2.0
// The night against published magnitudes: the table of docs/verification.md.
//
//   measure_nights [mixing_m2_s=0.04] [ground_drag=0.02] [interface_drag=0.002] [heat_loss_w_m2=15]
//   [sheets=24]
//                  [dew_point_k=273] [mixing=uniform|stability] [calm_friction_velocity_m_s=0.08] [only=Name]
//
// A dew point makes the loss one by radiation; the slopes of 30 W/m² keep theirs.
#include <fmt/core.h>

#include <cstdlib>
#include <string>

#include "tests/nights/published_night.hpp"

namespace {

/// Takes `argument` if it is `key`=number.
bool take(const std::string& argument, const std::string& key, double& value) {
    if (argument.rfind(key + "=", 0) != 0) return false;
    value = std::strtod(argument.c_str() + key.size() + 1, nullptr);
    return true;
}

void print_row(const lielow::nights::PublishedValue& value, double ours) {
    const std::string high = value.high < 1e9 ? fmt::format(" to {:.3g}", value.high) : " and more";
    fmt::print("| {} | {} | {} | {:.3g}{} {} | {:.3g} | {} | {} |\n", value.quantity, value.source,
               value.printed, value.low, high, value.unit, ours, value.holds(ours) ? "yes" : "**no**",
               value.open_defect);
    std::fflush(stdout);
}

}  // namespace

int main(int argc, char** argv) {
    lielow::NightSetup defaults;
    defaults.sheets = lielow::nights::usual_sheets;
    std::string only;
    for (int i = 1; i < argc; ++i) {
        const std::string argument = argv[i];
        if (argument.rfind("only=", 0) == 0) {
            only = argument.substr(5);
        } else if (argument == "mixing=uniform") {
            defaults.mixing_law = lielow::MixingLaw::uniform;
        } else if (argument == "mixing=stability") {
            defaults.mixing_law = lielow::MixingLaw::stability;
        } else if (double sheets = 0; take(argument, "sheets", sheets)) {
            defaults.sheets = static_cast<int>(sheets);
        } else if (!take(argument, "mixing_m2_s", defaults.mixing_m2_s) &&
                   !take(argument, "ground_drag", defaults.ground_drag) &&
                   !take(argument, "calm_friction_velocity_m_s", defaults.calm_friction_velocity_m_s) &&
                   !take(argument, "dew_point_k", defaults.dew_point_k) &&
                   !take(argument, "heat_loss_w_m2", defaults.heat_loss_w_m2) &&
                   !take(argument, "interface_drag", defaults.interface_drag)) {
            fmt::print(stderr, "measure_nights: what is {}?\n", argument);
            return 2;
        }
    }
    if (defaults.dew_point_k > 0) defaults.loss_rule = lielow::LossRule::radiation;
    for (const lielow::nights::PublishedValue& value : lielow::nights::all_values()) {
        if (only.empty() || only == value.name) print_row(value, value.measure(defaults));
    }
    return 0;
}
