// SPDX-License-Identifier: Apache-2.0
#include "sim/frost_years.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double none_above = 0.55;  ///< quantile of the daily range up to which a night takes no offset
constexpr double all_above = 0.88;   ///< from which on it takes all of it
constexpr double table_step = 0.1;   // K
constexpr double table_reach = 25;   // K

MonthDay month_day(const CalendarDate& date) {
    return {date.month, date.day};
}

bool is_day_before(const CalendarDate& a, const CalendarDate& b) {
    return days_since_2000(a) + 1 == days_since_2000(b);
}

/// NaN where not known.
double range_of_night(std::span<const StationDay> days, std::size_t i) {
    double high = days[i].high_k;
    if (i > 0 && is_day_before(days[i - 1].date, days[i].date))
        high = std::fmin(high, days[i - 1].high_k);  // of two, the one that is known
    return high - days[i].low_k;
}

/// The days of one year that are in the window, and how many it has whether recorded or not.
struct WindowDays {
    std::vector<std::size_t> days;  ///< with a low
    long length = 0;                ///< 0: the window can't be told
};

WindowDays by_dates(std::span<const StationDay> days, std::span<const std::size_t> of_year, int year,
                    const TenderWindow& window) {
    WindowDays result;
    for (const std::size_t i : of_year) {
        const int at = month_day(days[i].date).order();
        const bool inside = at >= window.from.order() && at <= window.to.order();
        if (inside && !std::isnan(days[i].low_k)) result.days.push_back(i);
    }
    result.length = days_since_2000({year, window.to.month, window.to.day}) -
                    days_since_2000({year, window.from.month, window.from.day}) + 1;
    return result;
}

/// A day without both readings gains what the day before gained; a year with too many of them tells nothing.
WindowDays by_degree_days(std::span<const StationDay> days, std::span<const std::size_t> of_year, int year,
                          const TenderWindow::DegreeDays& sums) {
    WindowDays result;
    double sum = 0;
    double gain = 0;
    long day = days_since_2000({year, 1, 1});
    const long first = day;
    long missing = 0;
    auto next = of_year.begin();
    while (next != of_year.end() && sum <= sums.to) {
        const bool recorded = days_since_2000(days[*next].date) == day;
        const double mean = recorded ? 0.5 * (days[*next].low_k + days[*next].high_k) : NAN;
        if (std::isnan(mean)) {
            ++missing;
        } else {
            gain = std::max(0.0, mean - sums.base_k);
        }
        sum += gain;
        if (sum >= sums.from && sum <= sums.to) {
            ++result.length;
            if (recorded && !std::isnan(days[*next].low_k)) result.days.push_back(*next);
        }
        if (recorded) ++next;
        ++day;
    }
    const auto told =
        static_cast<double>(day - first - missing) / static_cast<double>(std::max(day - first, 1L));
    if (sum <= sums.to || told < least_window_share) result.length = 0;
    return result;
}

/// Value below which `share` of the sorted values lie.
double quantile(const std::vector<double>& sorted, double share) {
    const double at = share * static_cast<double>(sorted.size() - 1);
    const auto below = static_cast<std::size_t>(at);
    const std::size_t above = std::min(below + 1, sorted.size() - 1);
    return sorted[below] + (at - static_cast<double>(below)) * (sorted[above] - sorted[below]);
}

/// Turns the daily ranges that stand in `clearness` into shares of the offset. A night whose range isn't
/// known takes all of it, to be careful.
void rank_by_range(Springs& springs) {
    std::vector<double> ranges;
    std::size_t nights = 0;
    for (const Spring& spring : springs.springs) {
        nights += spring.nights.size();
        for (const Spring::Night& night : spring.nights)
            if (!std::isnan(night.clearness)) ranges.push_back(night.clearness);
    }
    std::sort(ranges.begin(), ranges.end());
    springs.has_ranges = !ranges.empty() && 2 * ranges.size() >= nights;
    const double none = springs.has_ranges ? quantile(ranges, none_above) : 0.0;
    const double all = springs.has_ranges ? quantile(ranges, all_above) : 0.0;
    const auto share = [&](double range) {
        if (!springs.has_ranges || std::isnan(range) || range >= all) return 1.0;
        return range <= none ? 0.0 : (range - none) / (all - none);
    };
    for (Spring& spring : springs.springs)
        for (Spring::Night& night : spring.nights) night.clearness = share(night.clearness);
}

Spring spring_of(std::span<const StationDay> days, const WindowDays& window, int year) {
    Spring spring{year, {}};
    for (const std::size_t i : window.days) spring.nights.push_back({days[i].low_k, range_of_night(days, i)});
    return spring;
}

int count_damaging(const std::vector<double>& lows, double threshold_k) {
    // The same reading in another unit may come out a rounding above the threshold.
    constexpr double rounding = 1e-9;
    return static_cast<int>(
        std::count_if(lows.begin(), lows.end(), [&](double low) { return low <= threshold_k + rounding; }));
}

struct BandedShare {
    double share = 0;
    ShareBand band;
};

BandedShare normal_share(const Springs& springs, double threshold_k, double offset_k) {
    const std::vector<double> lows = spring_lows(springs, offset_k);
    const NormalFit fit = fit_normal(lows);
    return {share_below(fit, threshold_k), normal_band(fit, static_cast<int>(lows.size()), threshold_k)};
}

/// Both kinds of night come from one record, so the ends of their bands are mixed like the shares.
BandedShare normal_share(const Springs& springs, double threshold_k, double offset_k, double f) {
    const BandedShare a = normal_share(springs, threshold_k, offset_k);
    if (f >= 1) return a;
    const BandedShare b = normal_share(springs, threshold_k, 0);
    return {mixed_share(f, a.share, b.share),
            {mixed_share(f, a.band.low, b.band.low), mixed_share(f, a.band.high, b.band.high)}};
}

double lowest_share(const std::vector<double>& lows, double threshold_k) {
    const bool alike = std::all_of(lows.begin(), lows.end(), [&](double low) { return low == lows.front(); });
    return alike ? share_below(fit_normal(lows), threshold_k) : share_below(fit_lowest(lows), threshold_k);
}

double looked_up(const std::vector<double>& table, double offset_k) {
    if (std::isnan(offset_k)) return offset_k;
    const double at =
        std::clamp((offset_k + table_reach) / table_step, 0.0, static_cast<double>(table.size() - 1));
    const auto below = std::min(static_cast<std::size_t>(at), table.size() - 2);
    return table[below] + (at - static_cast<double>(below)) * (table[below + 1] - table[below]);
}

void require_springs(const Springs& springs) {
    const auto n = springs.springs.size();
    if (n >= static_cast<std::size_t>(least_springs)) return;
    throw InputError("the record has " + std::to_string(n) +
                     " whole springs; a share of springs needs at least " + std::to_string(least_springs));
}

}  // namespace

Springs tender_springs(std::span<const StationDay> days, const TenderWindow& window) {
    Springs springs;
    for (std::size_t i = 0; i < days.size();) {
        const int year = days[i].date.year;
        std::vector<std::size_t> of_year;
        for (; i < days.size() && days[i].date.year == year; ++i) of_year.push_back(i);
        const WindowDays found = window.degree_days ? by_degree_days(days, of_year, year, *window.degree_days)
                                                    : by_dates(days, of_year, year, window);
        const auto recorded = static_cast<double>(found.days.size());
        const bool whole =
            found.length > 0 && recorded >= least_window_share * static_cast<double>(found.length);
        if (whole) {
            springs.springs.push_back(spring_of(days, found, year));
        } else {
            springs.left_out.push_back(year);
        }
    }
    rank_by_range(springs);
    return springs;
}

std::vector<double> spring_lows(const Springs& springs, double offset_k) {
    std::vector<double> lows;
    for (const Spring& spring : springs.springs) {
        double low = std::numeric_limits<double>::infinity();
        for (const Spring::Night& night : spring.nights)
            low = std::min(low, night.low_k + offset_k * night.clearness);
        lows.push_back(low);
    }
    return lows;
}

double mixed_share(double f, double shifted, double other) {
    return f * shifted + (1 - f) * other;
}

FrostShare frost_share(const Springs& springs, double threshold_k, double offset_k, double clear_share) {
    require_springs(springs);
    const double f = springs.has_ranges ? 1.0 : clear_share;
    const std::vector<double> lows = spring_lows(springs, offset_k);
    const std::vector<double> unshifted = spring_lows(springs, 0);
    FrostShare result;
    result.springs = static_cast<int>(lows.size());
    const double n = result.springs;
    result.counted =
        mixed_share(f, count_damaging(lows, threshold_k) / n, count_damaging(unshifted, threshold_k) / n);
    result.damaging = static_cast<int>(std::lround(result.counted * n));
    result.band = wilson_band(result.damaging, result.springs);
    const BandedShare normal = normal_share(springs, threshold_k, offset_k, f);
    result.normal = normal.share;
    result.normal_band = normal.band;
    result.lowest = mixed_share(f, lowest_share(lows, threshold_k), lowest_share(unshifted, threshold_k));
    return result;
}

FrostOdds::FrostOdds(const Springs& springs, double threshold_k, double clear_share) {
    require_springs(springs);
    const double f = springs.has_ranges ? 1.0 : clear_share;
    const auto half = std::lround(table_reach / table_step);
    for (long i = -half; i <= half; ++i) {
        const BandedShare at = normal_share(springs, threshold_k, static_cast<double>(i) * table_step, f);
        share_.push_back(at.share);
        low_.push_back(at.band.low);
        high_.push_back(at.band.high);
    }
}

double FrostOdds::share(double offset_k) const {
    return looked_up(share_, offset_k);
}

ShareBand FrostOdds::band(double offset_k) const {
    return {looked_up(low_, offset_k), looked_up(high_, offset_k)};
}

double years_between(double share) {
    return share >= 1 / rarest_years ? 1 / share : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace lielow
