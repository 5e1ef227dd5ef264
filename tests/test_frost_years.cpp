// SPDX-License-Identifier: Apache-2.0
#include "sim/frost_years.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <random>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double zero = 273.15;

CalendarDate april(int year, int day) {
    return {year, 4, day};
}

/// Ten springs of one tender day each, °C, worked by hand: −2.2 or less in 4 of 10.
Springs ten_springs() {
    std::vector<StationDay> days;
    int year = 2001;
    for (const double low : {-3.1, -0.4, -1.8, -2.6, 0.3, -4.0, -1.1, -2.2, -0.9, -1.5})
        days.push_back({april(year++, 20), zero + low});
    return tender_springs(days, {{4, 20}, {4, 20}, {}});
}

TEST(FrostYears, CountsAtOrBelow) {
    const Springs springs = ten_springs();
    EXPECT_EQ(springs.springs.size(), 10U);
    EXPECT_FALSE(springs.has_ranges);
    EXPECT_EQ(frost_share(springs, zero - 2.2, 0).damaging, 4);  // with < it would be 3
    EXPECT_EQ(frost_share(springs, zero - 2.2, -1.0).damaging, 6);
    EXPECT_EQ(frost_share(springs, zero - 2.2, 1.5).damaging, 1);
    EXPECT_EQ(frost_share(springs, zero - 2.21, 0).damaging, 3);
}

TEST(FrostYears, BandIsWilsons) {
    const FrostShare share = frost_share(ten_springs(), zero - 2.2, 0);
    EXPECT_DOUBLE_EQ(share.band.low, wilson_band(4, 10).low);
    EXPECT_DOUBLE_EQ(share.band.high, wilson_band(4, 10).high);
    // Mean −1.73 and deviation 1.2953 of the ten: Φ(−0.3628).
    EXPECT_NEAR(share.normal, 0.3584, 0.0005);
    EXPECT_NEAR(share.lowest, share.normal, 0.06);
}

TEST(FrostYears, MixesClearAndOtherNights) {
    const Springs springs = ten_springs();
    const FrostShare half = frost_share(springs, zero - 2.2, -1.0, 0.5);
    EXPECT_DOUBLE_EQ(half.counted, 0.5 * 0.6 + 0.5 * 0.4);
    EXPECT_DOUBLE_EQ(half.normal, 0.5 * frost_share(springs, zero - 2.2, -1.0).normal +
                                      0.5 * frost_share(springs, zero - 2.2, 0).normal);
    EXPECT_DOUBLE_EQ(frost_share(springs, zero - 2.2, -1.0, 0.0).counted, 0.4);
}

/// Resampling the springs (bootstrap, Efron 1979) knows nothing of the band's formula: the middle 95 % of
/// 4000 shares. On a hundred springs, because its percentiles are known to be too narrow on few.
TEST(FrostYears, BandOfTheMapAgainstABootstrap) {
    std::mt19937_64 engine(7);
    std::vector<StationDay> days;
    for (int year = 1901; year < 2001; ++year) {
        double sum = 0;  // of twelve even ones: near normal, deviation 1
        for (int k = 0; k < 12; ++k) sum += static_cast<double>(engine() >> 11U) / 9007199254740992.0;
        days.push_back({april(year, 20), zero + 2 * (sum - 6)});
    }
    const Springs springs = tender_springs(days, {{4, 20}, {4, 20}, {}});
    for (const double offset : {0.0, -2.0}) {
        std::vector<double> shares;
        for (int r = 0; r < 4000; ++r) {
            Springs drawn;
            for (int i = 0; i < 100; ++i) drawn.springs.push_back(springs.springs[engine() % 100]);
            shares.push_back(share_below(fit_normal(spring_lows(drawn, offset)), zero - 2.2));
        }
        std::sort(shares.begin(), shares.end());
        const ShareBand band = FrostOdds(springs, zero - 2.2).band(offset);
        EXPECT_NEAR(band.low, shares[100], 0.02) << offset;
        EXPECT_NEAR(band.high, shares[3899], 0.02) << offset;
        std::printf("offset %.0f: band %.3f %.3f, bootstrap %.3f %.3f\n", offset, band.low, band.high,
                    shares[100], shares[3899]);
    }
}

TEST(FrostYears, MapsBandIsThatOfTheShare) {
    const Springs springs = ten_springs();
    const FrostShare share = frost_share(springs, zero - 2.2, -1.0, 0.5);
    const ShareBand shifted = normal_band(fit_normal(spring_lows(springs, -1.0)), 10, zero - 2.2);
    const ShareBand other = normal_band(fit_normal(spring_lows(springs, 0)), 10, zero - 2.2);
    EXPECT_DOUBLE_EQ(share.normal_band.low, 0.5 * shifted.low + 0.5 * other.low);
    EXPECT_DOUBLE_EQ(share.normal_band.high, 0.5 * shifted.high + 0.5 * other.high);
    const ShareBand odds = FrostOdds(springs, zero - 2.2, 0.5).band(-1.0);
    EXPECT_NEAR(odds.low, share.normal_band.low, 1e-12);
    EXPECT_NEAR(odds.high, share.normal_band.high, 1e-12);
    EXPECT_LT(odds.low, share.normal);
    EXPECT_GT(odds.high, share.normal);
    EXPECT_TRUE(std::isnan(FrostOdds(springs, zero - 2.2).band(NAN).low));
}

TEST(FrostYears, TableOfOddsFollowsTheFit) {
    const Springs springs = ten_springs();
    const FrostOdds odds(springs, zero - 2.2);
    for (const double offset : {-7.0, -1.234, 0.0, 0.05, 2.51})
        EXPECT_NEAR(odds.share(offset), frost_share(springs, zero - 2.2, offset).normal, 4e-4) << offset;
    EXPECT_TRUE(std::isnan(odds.share(NAN)));
    EXPECT_EQ(odds.share(-1000), odds.share(-25));
    EXPECT_EQ(years_between(0.25), 4.0);
    EXPECT_EQ(years_between(1.0), 1.0);
    EXPECT_TRUE(std::isnan(years_between(0.0099)));
    EXPECT_TRUE(std::isnan(years_between(0)));
}

TEST(FrostYears, TooFewSpringsAreRefused) {
    std::vector<StationDay> days;
    for (int year = 2001; year <= 2004; ++year) days.push_back({april(year, 20), zero});
    const Springs springs = tender_springs(days, {{4, 20}, {4, 20}, {}});
    EXPECT_THROW(frost_share(springs, zero, 0), InputError);
    EXPECT_THROW(FrostOdds(springs, zero), InputError);
}

/// Twenty nights a spring; a record without highs, so that only the window decides.
std::vector<StationDay> twenty_nights(int years, double low_k, double high_k) {
    std::vector<StationDay> days;
    for (int year = 2001; year < 2001 + years; ++year)
        for (int day = 1; day <= 20; ++day) days.push_back({april(year, day), low_k, high_k});
    return days;
}

TEST(FrostYears, WindowHasBothItsEnds) {
    std::vector<StationDay> days = twenty_nights(1, zero + 5, NAN);
    days[4].low_k = zero - 1;   // 5 April
    days[14].low_k = zero - 2;  // 15 April
    const auto low = [&](int from, int to) {
        return spring_lows(tender_springs(days, {{4, from}, {4, to}, {}}), 0).at(0) - zero;
    };
    EXPECT_NEAR(low(6, 14), 5, 1e-9);
    EXPECT_NEAR(low(5, 14), -1, 1e-9);
    EXPECT_NEAR(low(6, 15), -2, 1e-9);
}

TEST(FrostYears, SpringsWithHolesAreLeftOut) {
    std::vector<StationDay> days = twenty_nights(3, zero, NAN);
    days[20].low_k = days[21].low_k = NAN;                   // 2002: 18 of 20 remain, enough
    days[40].low_k = days[41].low_k = days[42].low_k = NAN;  // 2003: 17
    const Springs springs = tender_springs(days, {{4, 1}, {4, 20}, {}});
    ASSERT_EQ(springs.springs.size(), 2U);
    EXPECT_EQ(springs.springs[1].year, 2002);
    EXPECT_EQ(springs.left_out, std::vector<int>{2003});
}

/// Only nights with a large range between high and low take the offset.
TEST(FrostYears, ClearNightsTakeTheOffset) {
    std::vector<StationDay> days = twenty_nights(5, zero + 2, zero + 7);  // range 5: dull
    for (std::size_t i = 0; i < days.size(); i += 20) {
        days[i + 9] = {days[i + 9].date, zero + 3, zero + 20};  // clear, the days before and after are not
        for (const std::size_t clear : {14U, 15U, 16U, 17U}) days[i + clear].high_k = zero + 25;
    }
    const Springs springs = tender_springs(days, {{4, 1}, {4, 20}, {}});
    EXPECT_TRUE(springs.has_ranges);
    const auto& nights = springs.springs.front().nights;
    EXPECT_EQ(nights[0].clearness, 0.0);
    EXPECT_EQ(nights[9].clearness, 0.0);   // the evening before was dull
    EXPECT_EQ(nights[14].clearness, 0.0);  // the same
    EXPECT_EQ(nights[16].clearness, 1.0);
    EXPECT_NEAR(spring_lows(springs, -4).front(), zero - 2, 1e-9);
    EXPECT_NEAR(spring_lows(springs, +4).front(), zero + 2, 1e-9);  // dull nights stay as they are
    // And with ranges at hand the share given for records without them doesn't count.
    EXPECT_EQ(frost_share(springs, zero - 1, -4, 0.0).counted, 1.0);
}

/// 10 K·day each day above the base: the sum is 10 on the first day of the year, 100 on the tenth.
TEST(FrostYears, WindowByDegreeDays) {
    std::vector<StationDay> days;
    for (int day = 1; day <= 31; ++day)
        days.push_back({{2001, 1, day}, zero + 10 - 0.1 * day, zero + 18 + 0.1 * day});
    TenderWindow window;
    window.degree_days = {zero + 4, 100, 150};
    const Springs springs = tender_springs(days, window);
    ASSERT_EQ(springs.springs.size(), 1U);
    EXPECT_EQ(springs.springs[0].nights.size(), 6U);  // 10 to 15 January
    EXPECT_NEAR(springs.springs[0].nights.front().low_k, zero + 9, 1e-9);
    EXPECT_NEAR(springs.springs[0].nights.back().low_k, zero + 8.5, 1e-9);
    window.degree_days->to = 1000;  // the record ends before
    EXPECT_EQ(tender_springs(days, window).left_out, std::vector<int>{2001});
    window.degree_days->to = 150;
    days.erase(days.begin() + 4);  // one day of fifteen: takes what the day before gained
    EXPECT_EQ(tender_springs(days, window).springs.at(0).nights.size(), 6U);
    days.erase(days.begin(), days.begin() + 3);
    EXPECT_EQ(tender_springs(days, window).left_out, std::vector<int>{2001});
}

}  // namespace
}  // namespace lielow
