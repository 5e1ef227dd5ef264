// SPDX-License-Identifier: Apache-2.0
// In how many springs does frost do damage: a thermometer's daily record, carried over to a place that a
// clear calm night makes colder or warmer than the thermometer.
//
// Pools of cold air stand on clear calm nights only; to shift every night by the whole offset would overstate
// the risk. Observed: in a valley of some 170 m, cold pools above 1 K stood on 45 % of all nights and above
// 4 K on 12 % (Clun, Shropshire; Jemmett-Smith, Ross & Sheridan). So the record's nights are ranked by
// daily range, the proxy at hand for clear and calm: the lower 55 % take nothing of the offset, the
// upper 12 % all of it, linearly between. Where the record has no highs, the share of springs is f times that
// of the record shifted whole and (1 − f) times that of the record as it is, with f given. Both are choices
// of this program.
#pragma once

#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "sim/extreme_fit.hpp"
#include "sim/sun.hpp"

namespace lielow {

struct StationDay {
    CalendarDate date;
    double low_k = std::numeric_limits<double>::quiet_NaN();   ///< NaN = missing
    double high_k = std::numeric_limits<double>::quiet_NaN();  ///< NaN = missing
};

struct MonthDay {
    int month = 1;
    int day = 1;
    bool operator==(const MonthDay&) const = default;
    /// Later days of the year have greater ones.
    [[nodiscard]] int order() const { return 100 * month + day; }
};

/// The days on which the crop is in its tender stage, both ends included: from one date to another of the
/// same year, or from one sum of degree-days to another.
struct TenderWindow {
    MonthDay from;
    MonthDay to;
    /// Sums of max(0, (high + low)/2 − base) over the days since 1 January (averaging method 1 of McMaster &
    /// Wilhelm 1997, Agric. For. Meteorol. 87, 291-300), K·day. The window opens on the first day on which
    /// the sum reaches `from`, and closes before that on which it exceeds `to`. Takes the place of the dates.
    struct DegreeDays {
        double base_k = 0;
        double from = 0;
        double to = 0;
    };
    std::optional<DegreeDays> degree_days;
};

struct Spring {
    int year = 0;
    struct Night {
        double low_k = 0;
        double clearness = 1;  ///< share of the offset that this night takes, 0..1
    };
    std::vector<Night> nights;  ///< of the window, those with a low
};

struct Springs {
    std::vector<Spring> springs;  ///< those that count
    std::vector<int> left_out;    ///< years in which too many days of the window (or of the sum) are missing
    bool has_ranges = false;      ///< nights were ranked by daily range
};

/// A spring counts when at least this share of its window has a low.
inline constexpr double least_window_share = 0.9;
/// Fewer springs can't tell a share; fewer than `few_springs` tell it poorly.
inline constexpr int least_springs = 5;
inline constexpr int few_springs = 10;

/// `days` in order of dates. A night's range is the low's distance to the nearer of the highs of its own day
/// and the day before, so that a front that brings cold doesn't pass as a clear night.
Springs tender_springs(std::span<const StationDay> days, const TenderWindow& window);

/// The lowest reading of each spring at a place `offset_k` from the thermometer on a clear calm night.
std::vector<double> spring_lows(const Springs& springs, double offset_k);

/// Share of springs with damaging frost: a low at or below `threshold_k`.
struct FrostShare {
    int springs = 0;
    int damaging = 0;       ///< counted
    double counted = 0;     ///< damaging / springs; with `clear_share` < 1 a mean of two counts
    ShareBand band;         ///< 95 % of `counted`
    double normal = 0;      ///< normal distribution of the springs' lows: what maps show
    ShareBand normal_band;  ///< 95 % of `normal`, from the length of the record alone
    double lowest = 0;      ///< generalized extreme value distribution, to see what the choice matters
};

/// `clear_share` f counts only where the nights couldn't be ranked. Throws InputError for fewer than
/// `least_springs` springs.
FrostShare frost_share(const Springs& springs, double threshold_k, double offset_k, double clear_share = 1);

/// P = f · P(clear and calm, shifted) + (1 − f) · P(other).
double mixed_share(double f, double shifted, double other);

/// `FrostShare::normal` and its band for any offset, from a table of 0.1 K steps, linear between, held beyond
/// ±25 K.
class FrostOdds {
  public:
    FrostOdds(const Springs& springs, double threshold_k, double clear_share = 1);
    /// NaN at NaN, as is the band.
    [[nodiscard]] double share(double offset_k) const;
    [[nodiscard]] ShareBand band(double offset_k) const;

  private:
    std::vector<double> share_;
    std::vector<double> low_;
    std::vector<double> high_;
};

/// Rarer than one spring in so many is not told apart from never: decades of record can't say it.
inline constexpr double rarest_years = 100;

/// One damaging spring in so many, 1/share; NaN where rarer than `rarest_years`.
double years_between(double share);

}  // namespace lielow
