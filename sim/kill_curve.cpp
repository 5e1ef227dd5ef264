// SPDX-License-Identifier: Apache-2.0
#include "sim/kill_curve.hpp"

#include <cmath>

namespace lielow {
namespace {

/// ln 9, the logit of 0.9.
const double logit_90 = std::log(9.0);

double middle(const KillCurve& curve) {
    return 0.5 * (curve.t10 + curve.t90);
}

double scale(const KillCurve& curve) {
    return 0.5 * (curve.t10 - curve.t90) / logit_90;
}

}  // namespace

double killed_share(const KillCurve& curve, double temperature) {
    return 1.0 / (1.0 + std::exp((temperature - middle(curve)) / scale(curve)));
}

double killing_temperature(const KillCurve& curve, double share) {
    return middle(curve) - scale(curve) * std::log(share / (1.0 - share));
}

KilledBand killed_band(const KillCurve& curve, double temperature) {
    return {killed_share(curve, temperature + curve.colder), killed_share(curve, temperature - curve.warmer)};
}

}  // namespace lielow
