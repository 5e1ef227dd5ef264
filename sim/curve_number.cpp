// SPDX-License-Identifier: Apache-2.0
#include "sim/curve_number.hpp"

#include <array>
#include <cmath>
#include <cstddef>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double inch_m = 0.0254;

struct AntecedentRow {
    double average, dry, wet;
};

/// NEH 630 table 10-1; the rows below 40 are from memory.
constexpr std::array<AntecedentRow, 11> antecedent_rows{{{0, 0, 0},
                                                         {10, 4, 22},
                                                         {20, 9, 37},
                                                         {30, 15, 50},
                                                         {40, 22, 60},
                                                         {50, 31, 70},
                                                         {60, 40, 78},
                                                         {70, 51, 85},
                                                         {80, 63, 91},
                                                         {90, 78, 96},
                                                         {100, 100, 100}}};

void validate_number(double curve_number) {
    if (!(curve_number >= 1) || !(curve_number <= 100))
        throw InputError(
            "a curve number lies between 1 and 100 (orchard on good grass: 32 on sand to 79 on clay)");
}

}  // namespace

CurveLoss curve_loss(double curve_number, InitialLoss initial) {
    validate_number(curve_number);
    const double retention_in = 1000 / curve_number - 10;
    if (initial == InitialLoss::fifth) return {0.2 * retention_in * inch_m, retention_in * inch_m};
    const double other_in = 1.33 * std::pow(retention_in, 1.15);
    return {0.05 * other_in * inch_m, other_in * inch_m};
}

double curve_number_for(double average_number, Antecedent antecedent) {
    validate_number(average_number);
    if (antecedent == Antecedent::average) return average_number;
    std::size_t n = 1;
    while (antecedent_rows[n].average < average_number) ++n;
    const AntecedentRow& low = antecedent_rows[n - 1];
    const AntecedentRow& high = antecedent_rows[n];
    const double share = (average_number - low.average) / (high.average - low.average);
    return antecedent == Antecedent::dry ? low.dry + share * (high.dry - low.dry)
                                         : low.wet + share * (high.wet - low.wet);
}

}  // namespace lielow
