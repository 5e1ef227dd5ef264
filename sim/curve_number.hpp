// SPDX-License-Identifier: Apache-2.0
// Direct runoff by curve number: Q = (P − Ia)² / (P − Ia + S) for P > Ia, S = 1000/CN − 10 inches.
//
// USDA-NRCS, National Engineering Handbook part 630, ch. 9 and 10 (2004); Technical Release 55 (1986). The
// method speaks of a storm's total; taken moment by moment, as here, its runoff is the increase of Q with the
// rain fallen so far, which is bookkeeping: water that has run off does not soak in further down, and the
// soil does not recover in a pause. Below CN 40 or half an inch of runoff it is unreliable (TR-55).
#pragma once

#include <cstdint>

namespace lielow {

/// How wet the soil is when the storm comes: antecedent runoff conditions I, II and III.
enum class Antecedent : std::uint8_t { dry, average, wet };

/// Which pair of initial loss and retention.
enum class InitialLoss : std::uint8_t {
    fifth,  ///< Ia = 0.2 S, as the curve numbers of the handbook were found; the default
    twentieth,  ///< Ia = 0.05 S with S₀.₀₅ = 1.33 S₀.₂^1.15, inches (Woodward et al. 2003, ASCE World Water
                ///< and Environmental Resources Congress, doi 10.1061/40685(2003)308)
};

struct CurveLoss {
    double initial_m = 0;    ///< Ia
    double retention_m = 0;  ///< S
};

/// Throws InputError unless 1 <= curve number <= 100 (lower ones mean that no storm runs off).
CurveLoss curve_loss(double curve_number, InitialLoss initial = InitialLoss::fifth);

/// Runoff since the start of the storm from the rain since the start, both m.
constexpr double curve_runoff(const CurveLoss& loss, double rain_m) {
    const double over = rain_m - loss.initial_m;
    return over > 0 ? over * over / (over + loss.retention_m) : 0.0;
}

/// The curve number for drier or wetter soil than the average one it is given for: the handbook's table (NEH
/// 630 ch. 10, table 10-1), linear between its rows.
double curve_number_for(double average_number, Antecedent antecedent);

}  // namespace lielow
