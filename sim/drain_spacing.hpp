// SPDX-License-Identifier: Apache-2.0
// How far apart parallel pipe drains may lie, and how high a bed must be. Screening figures: a drainage
// system is designed by a licensed person from borings. SI throughout: metres, seconds.
//
// ILRI 16 is Ritzema (ed.) 1994, Drainage Principles and Applications, ILRI Publication 16, 2nd edition,
// chapter 8 (quoted from memory).
#pragma once

namespace lielow {

/// Drains and the ground they lie in.
struct DrainedGround {
    double conductivity_m_s = 0;  ///< below the drains' level, > 0
    double above_m_s = 0;         ///< above it; 0 = the same
    double porosity = 0;          ///< drainable, for a falling table
    double below_m = 0;           ///< depth of the restrictive layer below the drains' axis, >= 0
    double radius_m = 0.05;       ///< of the pipe with its envelope, > 0
};

/// Depth below the drains that, with level flow alone, would let through as much as the real ground with flow
/// converging on the pipe (Hooghoudt 1940), m, by the series of van der Molen & Wesseling 1991, Agric. Water
/// Manage. 19:1-16: d = (πL/8)/(ln(L/(πr)) + F(2πD/L)), F(x) = Σ 4e^(−2nx)/(n(1 − e^(−2nx))), n = 1, 3, 5 ...
/// At most D; 0 for drains on the restrictive layer. Throws InputError unless all are above 0 and L > πr.
double equivalent_depth(double below_m, double spacing_m, double radius_m);

/// The same by Moody's closed formula (1966, J. Irrig. Drain. Div. ASCE 92(IR2):1-9), which is how printed
/// tables were made; up to 6 % above the series.
double equivalent_depth_moody(double below_m, double spacing_m, double radius_m);

/// Steady discharge for the table `height_m` above the drains midway, m/s: (8 K d h + 4 K_above h²)/L²
/// (Hooghoudt 1940; ILRI 16).
double hooghoudt_discharge(const DrainedGround& ground, double spacing_m, double height_m);

/// Spacing at which steady recharge holds the table `height_m` above the drains midway, m. Throws InputError
/// unless recharge and height are above 0.
double hooghoudt_spacing(const DrainedGround& ground, double height_m, double recharge_m_s);

/// Spacing at which the table midway falls from `from_m` to `to_m` above the drains within `time_s`
/// (Glover-Dumm; Dumm 1954, Agric. Eng. 35:726-730; with the factor 1.16 of a fourth-degree start, Dumm
/// 1960): L = π √(K d t/μ) / √ln(1.16 from/to). `with_height` adds half the mean height of the table to d, as
/// thin ground wants. Drains on the restrictive layer fall after Boussinesq 1904 instead, where that d is
/// nought: to = from/(1 + 4.462 K from t/(μL²)). Throws InputError unless from > to > 0 and time, porosity >
/// 0.
double glover_dumm_spacing(const DrainedGround& ground, double from_m, double to_m, double time_s,
                           bool with_height);

/// Height of the table midway after `time_s`, m, from `from_m` at first: the same formula solved for `to`;
/// from early times, where the formula would be above it, `from_m`.
double glover_dumm_height(const DrainedGround& ground, double spacing_m, double from_m, double time_s,
                          bool with_height);

/// Discharge into each metre of a pipe for each metre of water table above it, m/s, where flow that is level
/// everywhere else converges on the pipe: πK/ln(D/(πr)) (radial resistance of Ernst 1962 for a pipe half
/// wetted; the very term by which equivalent_depth differs from D). D is the ground's depth below the pipe,
/// at most a quarter of the spacing. Infinite where there is no room to converge, D <= πr: there the pipe
/// acts as a ditch.
double radial_conductance_m_s(double conductivity_m_s, double below_m, double radius_m);

/// Where common practice sets laterals in silty and clayey ground: 40 to 60 ft. Common practice, no source.
struct UsualSpacing {
    double least_m = 40 * 0.3048;
    double greatest_m = 60 * 0.3048;
};

/// Height that a raised bed must have for its roots to have `root_depth_m` of aired ground above a water
/// table `table_depth_m` below the old surface: what is missing, plus the fringe that capillary rise keeps
/// wet. Never below 0. A bed airs roots; it doesn't cure infected ground.
double raised_bed_height(double root_depth_m, double table_depth_m, double fringe_m);

}  // namespace lielow
