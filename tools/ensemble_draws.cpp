// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/errors.hpp"
#include "sim/green_ampt.hpp"
#include "sim/night.hpp"
#include "sim/random_numbers.hpp"
#include "tools/ensemble.hpp"

namespace lielow {
namespace {

/// S = 1000/CN - 10 inches, taken times `times`, and back.
double curve_number_with(double curve_number, double times) {
    const double retention_in = 1000 / curve_number - 10;
    return std::clamp(1000 / (10 + times * retention_in), 1.0, 100.0);
}

void draw_night(const EnsembleDraw& draw, NightSettings& night) {
    if (draw.heat_loss != 1) {
        const bool by_radiation = !night.heat_loss_w_m2 && (night.dew_point_k || night.weather);
        if (by_radiation) {
            night.air_share = std::min(1.0, night.air_share * draw.heat_loss);
        } else {
            night.heat_loss_w_m2 =
                night.heat_loss_w_m2.value_or(NightSetup{}.heat_loss_w_m2) * draw.heat_loss;
        }
    }
    night.mixing_m2_s *= draw.mixing;
    night.calm_friction_velocity_m_s *= std::sqrt(draw.mixing);
}

void draw_water(const EnsembleDraw& draw, StormRunSettings& storm) {
    if (storm.curve_number && draw.retention != 1)
        storm.curve_number = curve_number_with(*storm.curve_number, draw.retention);
    if (storm.texture && draw.conductivity != 1) {
        const GreenAmptSoil soil = soil_of_texture(*storm.texture, storm.saturation);
        storm.conductivity = storm.conductivity.value_or(soil.conductivity) * draw.conductivity;
    }
}

}  // namespace

std::vector<EnsembleDraw> ensemble_draws(const Site& site) {
    constexpr int figures = 4;
    const EnsembleSettings& e = site.ensemble;
    const auto points = latin_hypercube(e.runs, figures, e.seed);
    std::vector<EnsembleDraw> draws;
    for (std::size_t run = 0; run < points.size(); ++run) {
        const auto factor = [&](std::size_t d, double one_error) {
            return one_error == 1 ? 1.0 : std::exp(points[run][d] * std::log(one_error));
        };
        draws.push_back({factor(0, e.heat_loss_factor), factor(1, e.mixing_factor),
                         factor(2, e.conductivity_factor), factor(3, e.retention_factor),
                         site.ground.vertical_accuracy_m.value_or(0), (e.seed << 20U) + run});
    }
    return draws;
}

Site drawn_site(const Site& site, const EnsembleDraw& draw, const std::string& reference) {
    Site drawn = site;
    drawn.ensemble.runs = 0;
    drawn.look.thermometers = drawn.look.auger_holes = 0;
    drawn.spots = {};
    drawn.night.hours_below_k.clear();
    drawn.drain.spacing_m.reset();  // of a second look at the days after the storm, not of the first
    if (!reference.empty()) drawn.night.reference = reference;
    if (site.ensemble.night_cell_m) drawn.night.cell_m = *site.ensemble.night_cell_m;
    draw_night(draw, drawn.night);
    draw_water(draw, drawn.water.run);
    drawn.soil.conductivity_times *= draw.conductivity;
    return drawn;
}

void check_ensemble(const Site& site) {
    if (site.ensemble.runs == 0) return;
    const std::string file = site.file.string();
    if (!site.ground.vertical_accuracy_m) {
        throw InputError(
            fmt::format("{}: ensemble.runs = {} needs ground.vertical_accuracy, the standard error of the "
                        "DEM's elevations; "
                        "write vertical_accuracy = \"0.1 m\" under [ground] (its maker tells it), or \"0 m\" "
                        "to take the DEM "
                        "for exact",
                        file, site.ensemble.runs));
    }
    if (!site.crop.kind) {
        throw InputError(fmt::format(
            "{}: ensemble.runs = {} needs crop.kind: what the runs are compared by is where that crop can be "
            "planted; write kind under [crop]",
            file, site.ensemble.runs));
    }
}

}  // namespace lielow
