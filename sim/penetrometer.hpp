// SPDX-License-Identifier: Apache-2.0
// Readings of a cone penetrometer: is the ground too hard for roots?
#pragma once

#include <cstdint>
#include <span>
#include <string_view>

namespace lielow {

/// 300 psi, above which roots stop (field guides for the cone of ASAE S313.3, pushed in at an inch a second
/// at field capacity), Pa.
inline constexpr double root_stop_pa = 300 * 6894.757293168;

/// Share of the readings, 0..1, above `root_stop_pa`; NaN for none.
double hard_share(std::span<const double> readings_pa);

/// Common practice, no published source: below a third no benefit from loosening is expected, from a third on
/// look into it, from a half on loosen.
enum class Loosening : std::uint8_t { no_benefit, look, loosen };
Loosening loosening_by_practice(double share);
std::string_view loosening_name(Loosening loosening);

/// A published reading of the same share, of points above 300 psi within the top 15 in (Duiker 2002, Penn
/// State Agronomy Facts 63, from memory).
struct CompactionReading {
    double below = 0;             ///< the share it goes up to
    std::string_view compaction;  ///< "slight"
    bool subsoil = false;         ///< is subsoiling recommended?
};
const CompactionReading& compaction_by_table(double share);

}  // namespace lielow
