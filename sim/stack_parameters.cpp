// SPDX-License-Identifier: Apache-2.0
#include "sim/stack_parameters.hpp"

#include <string>

#include "sim/errors.hpp"

namespace lielow {

std::vector<double> night_buoyancy(int sheets, double sheet_step_k, double potential_temperature_k) {
    constexpr double gravity = 9.81;
    std::vector<double> b(static_cast<std::size_t>(sheets));
    for (int k = 0; k < sheets; ++k) {
        b[static_cast<std::size_t>(k)] = (k + 1) * sheet_step_k * gravity / potential_temperature_k;
    }
    return b;
}

void validate_stack(const Grid& grid, const StackParameters& p) {
    const auto refuse = [](const std::string& what) { throw InputError("stack of sheets: " + what); };
    if (grid.rows < 1 || grid.cols < 1 || !(grid.dx > 0) || !(grid.dy > 0)) refuse("the grid is empty");
    if (p.buoyancy.empty()) refuse("no sheets");
    if (p.buoyancy.size() > static_cast<std::size_t>(StackParameters::most_sheets)) {
        refuse("at most " + std::to_string(StackParameters::most_sheets) + " sheets");
    }
    double previous = 0;
    for (const double b : p.buoyancy) {
        if (!(b > previous)) refuse("buoyancy must rise from sheet to sheet");
        previous = b;
    }
    if (!(p.courant > 0) || p.courant > 1) refuse("courant must lie in (0, 1]");
    if (p.exchange.active &&
        !(p.exchange.mixing > 0 && p.exchange.sheet_step > 0 && p.exchange.gap_floor > 0)) {
        refuse("mixing, sheet step and gap floor must be positive");
    }
    if (p.exchange.active && p.exchange.law == MixingLaw::stability &&
        !(p.exchange.friction_velocity > 0 && p.exchange.roughness > 0)) {
        refuse("friction velocity and roughness must be positive");
    }
    const DeepRoughness& deep = p.deep_roughness;
    if (!(deep.coefficient >= 0) || !(deep.thin_to >= 0) || !(deep.deep_from > deep.thin_to))
        refuse("roughness of deep water must be 0 or more, and deep water deeper than thin");
}

void validate_loss(double most, const ColumnExchange& x) {
    if (x.law == MixingLaw::stability) return;  // its isotherms can't pass one another
    if (x.active && !(most * x.gap_floor <= x.mixing * x.sheet_step)) {
        throw InputError("stack of sheets: the loss must not exceed mixing * sheet step / gap floor");
    }
}

}  // namespace lielow
