// SPDX-License-Identifier: Apache-2.0
// Share of a crop's flowers that a cold night kills, from the two temperatures its tables give.
//
// Tables say at which air temperature, held for half an hour in a thermometer shelter, 10 % and 90 % of the
// flower buds are killed. Between and beyond them the share follows a logistic curve in temperature through
// both points: the two points fix its two parameters, it never leaves 0..1, it rises all the way, and its
// inverse is a formula. It is the usual form of fits to freezing trials (from memory, no source at hand). A
// normal curve through the same points differs from it by at most 0.011; the logistic one has the longer
// tails, so it is the more careful of the two on nights that just touch the danger.
#pragma once

namespace lielow {

/// Temperatures in any one scale of degrees with a fixed size: the curve knows only differences.
struct KillCurve {
    double t10 = 0;  ///< kills 10 %
    double t90 = 0;  ///< kills 90 %; below t10
    /// By how much sources disagree: published figures lie from this much colder ...
    double colder = 0;  ///< >= 0
    double warmer = 0;  ///< ... to this much warmer, >= 0
};

/// Share killed, 0..1; NaN at NaN.
double killed_share(const KillCurve& curve, double temperature);

/// Temperature at which `share`, in 0..1 without its ends, is killed.
double killing_temperature(const KillCurve& curve, double share);

/// Share killed if the colder, or the warmer, of the published figures is the right one.
struct KilledBand {
    double least = 0;
    double most = 0;
};
KilledBand killed_band(const KillCurve& curve, double temperature);

}  // namespace lielow
