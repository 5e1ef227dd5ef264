// SPDX-License-Identifier: Apache-2.0
// What a hole in the field and a watch tell of the ground: conductivities and times, in metres and seconds.
// A percolation rate (how fast the water in a hole falls) is no conductivity; these turn one into the other.
#pragma once

#include <span>

namespace lielow {

/// Conductivity from the falling water in an unlined hole above the water table (Porchet; inverse auger hole,
/// ILRI 16 = Ritzema (ed.) 1994, chapter 12, from memory): K = (r/2) ln((h0 + r/2)/(h1 + r/2))/t, m/s, for
/// water that falls from `from_m` to `to_m` above the bottom of a hole of `radius_m` within `time_s`. Soak
/// the ground first. Throws InputError unless from > to >= 0 and radius, time > 0.
double porchet_conductivity(double radius_m, double from_m, double to_m, double time_s);

/// One reading of the water in a hole.
struct HoleReading {
    double time_s = 0;   ///< since the first
    double water_m = 0;  ///< above the bottom
};

/// The same from several readings: the line of least squares through ln(h + r/2) over time, as Porchet's
/// method is drawn; with two readings it is porchet_conductivity. Throws InputError unless there are two, the
/// time grows, the water nowhere rises and falls in all.
double porchet_conductivity(double radius_m, std::span<const HoleReading> readings);

/// Time in which a hole filled to `from_m` empties by the same law, s.
double hole_emptying_time(double radius_m, double from_m, double conductivity_m_s);

/// Conductivity below the water table, from water that rises in a hole that was bailed (Ernst 1950; van Beers
/// 1958, ILRI Bulletin 1, from memory): K = 4000 (r/y)(Δy/Δt)/((20 + H/r)(2 − y/H)), K in m/day, lengths in
/// cm, time in s; y the mean depth of the water in the hole below the water table, H the hole's depth below
/// it. For the bottom at least H/2 above a restrictive layer, 3 cm < r < 7 cm, 20 cm < H < 200 cm. In:
/// metres, seconds; out: m/s. Throws InputError unless all are above 0 and `rise` < `from`.
double auger_hole_conductivity(double radius_m, double hole_below_table_m, double from_m, double rise_m,
                               double time_s);

/// Ponded water over ground that wets as a sharp front (Green & Ampt 1911, J. Agric. Sci. 4:1-24), the pond
/// falling as it soaks in.
struct FallingPond {
    double conductivity_m_s = 0;  ///< behind the front, > 0
    double suction_m = 0;         ///< at the front, >= 0
    double deficit = 0;           ///< room in the ground as a share of its volume, 0 < deficit < 1
    double pond_m = 0;            ///< at first, > 0
};

/// Time until `soaked_m` (at most the pond) has gone in, s: with a = 1 − deficit, b = (suction +
/// pond)·deficit, t = (F/a − (b/a²) ln(1 + aF/b))/K, the exact integral of Green & Ampt's law. Throws
/// InputError.
double falling_pond_time(const FallingPond& pond, double soaked_m);

/// What has gone in by then, m, at most the pond. The inverse of falling_pond_time.
double falling_pond_soaked(const FallingPond& pond, double time_s);

}  // namespace lielow
