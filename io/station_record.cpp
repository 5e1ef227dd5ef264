// SPDX-License-Identifier: Apache-2.0
#include "io/station_record.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cmath>
#include <optional>
#include <span>

#include "io/csv_table.hpp"
#include "io/quantity.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

/// A column of temperatures and the way from its unit to kelvin.
struct Column {
    std::size_t at = 0;
    std::string unit;
    double kelvin_at_zero = 0;
    double kelvin_per_degree = 1;
    [[nodiscard]] double kelvin(double reading) const { return kelvin_at_zero + kelvin_per_degree * reading; }
};

bool starts_like(std::string_view text, std::string_view word) {
    return text.size() >= word.size() &&
           std::equal(word.begin(), word.end(), text.begin(), [](char a, char b) {
               return a == static_cast<char>(b >= 'A' && b <= 'Z' ? b - 'A' + 'a' : b);
           });
}

std::string_view without(std::string_view text, std::string_view letters) {
    const auto first = text.find_first_not_of(letters);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(letters) - first + 1);
}

std::optional<std::size_t> find_column(const CsvTable& table, std::string_view word) {
    for (std::size_t i = 0; i < table.columns.size(); ++i) {
        if (starts_like(table.columns[i], word)) return i;
    }
    return std::nullopt;
}

std::optional<Column> temperature_column(const CsvTable& table, std::string_view word) {
    const auto at = find_column(table, word);
    if (!at) return std::nullopt;
    Column column{
        *at, std::string(without(std::string_view(table.columns[*at]).substr(word.size()), " _()[],")), 0, 1};
    try {
        column.kelvin_at_zero = parse_quantity("0 " + column.unit, Dimension::temperature);
        column.kelvin_per_degree =
            (parse_quantity("100 " + column.unit, Dimension::temperature) - column.kelvin_at_zero) / 100;
    } catch (const InputError&) {
        throw InputError(fmt::format("{}: the column \"{}\" must name its unit; call it {}_degF or {}_degC",
                                     table.file, table.columns[*at], word, word));
    }
    return column;
}

/// Digits of exactly this count; -1 for anything else.
int digits(std::string_view text, std::size_t count) {
    int value = -1;
    if (text.size() != count || text.find_first_not_of("0123456789") != std::string_view::npos) return -1;
    std::from_chars(text.data(), text.data() + text.size(), value);
    return value;
}

std::optional<CalendarDate> date_from(std::string_view text) {
    if (text.size() != 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
    const CalendarDate date{digits(text.substr(0, 4), 4), digits(text.substr(5, 2), 2),
                            digits(text.substr(8), 2)};
    const std::chrono::year_month_day checked{std::chrono::year(date.year),
                                              std::chrono::month(static_cast<unsigned>(date.month)),
                                              std::chrono::day(static_cast<unsigned>(date.day))};
    return date.year > 0 && checked.ok() ? std::optional(date) : std::nullopt;
}

std::string text_of(const CalendarDate& date) {
    return fmt::format("{:04}-{:02}-{:02}", date.year, date.month, date.day);
}

/// NaN where the cell is empty.
double temperature_at(const CsvTable& table, std::size_t row, const Column& column, const std::string& day) {
    return column.kelvin(csv_number(table, row, column.at, day));
}

bool plausible(double kelvin) {
    // Colder than any place where fruit grows, and warmer than the usual stand-ins for a missing reading,
    // -99 °F (-73 °C) among them.
    constexpr double coldest = 213.15;  // -60 °C
    constexpr double warmest = 333.15;  // 60 °C
    return kelvin >= coldest && kelvin <= warmest;
}

void check_reading(const CsvTable& table, std::size_t row, const Column& column, double kelvin) {
    if (std::isnan(kelvin) || plausible(kelvin)) return;
    throw InputError(
        fmt::format("{}, row {} below the header: {} = {} is no air temperature; leave the cell empty where "
                    "the reading is missing",
                    table.file, row + 1, table.columns[column.at], table.rows[row][column.at]));
}

void check_order(const CsvTable& table, const StationDay& before, const StationDay& now) {
    const long step = days_since_2000(now.date) - days_since_2000(before.date);
    if (step > 0) return;
    if (step == 0) throw InputError(fmt::format("{}: {} stands there twice", table.file, text_of(now.date)));
    throw InputError(fmt::format("{}: {} comes after {}; put the days in order", table.file,
                                 text_of(now.date), text_of(before.date)));
}

struct Columns {
    std::size_t date = 0;
    Column low;
    std::optional<Column> high;
};

Columns columns_of(const CsvTable& table) {
    const auto date = find_column(table, "date");
    const auto low = temperature_column(table, "low");
    if (!date || !low)
        throw InputError(
            fmt::format("{} has no column \"{}\"; the first row must name the columns, such as "
                        "date,low_degF,high_degF",
                        table.file, date ? "low_degF" : "date"));
    return {*date, *low, temperature_column(table, "high")};
}

StationDay day_of(const CsvTable& table, std::size_t row, const Columns& columns) {
    const std::string& text = table.rows[row][columns.date];
    const auto date = date_from(text);
    if (!date)
        throw InputError(
            fmt::format("{}, row {} below the header: \"{}\" is not a date; write it as 2014-04-07",
                        table.file, row + 1, text));
    StationDay day{*date};
    day.low_k = temperature_at(table, row, columns.low, text);
    if (columns.high) day.high_k = temperature_at(table, row, *columns.high, text);
    return day;
}

void check_readings(const CsvTable& table, const Columns& columns, const std::vector<StationDay>& days) {
    for (std::size_t row = 0; row < days.size(); ++row) {
        check_reading(table, row, columns.low, days[row].low_k);
        if (columns.high) check_reading(table, row, *columns.high, days[row].high_k);
        if (days[row].high_k < days[row].low_k)
            throw InputError(fmt::format("{}, {}: the high is below the low; are the columns exchanged?",
                                         table.file, text_of(days[row].date)));
    }
}

/// Mean low of the warmest calendar month that the days know, which that is (0 for none), and how many they
/// know.
struct WarmestMonth {
    double mean_k = 0;
    int month = 0;
    int months = 0;
};

WarmestMonth warmest_month(std::span<const StationDay> days) {
    constexpr int enough = 20;
    std::array<double, 12> sum{};
    std::array<int, 12> count{};
    for (const StationDay& day : days) {
        // A missing reading's stand-in, such as -9999, tells nothing of the unit; 63 read as °C does.
        const bool stand_in = day.low_k < 150 || day.low_k > 400;
        if (std::isnan(day.low_k) || stand_in) continue;
        const auto month = static_cast<std::size_t>(day.date.month - 1);
        sum[month] += day.low_k;
        ++count[month];
    }
    WarmestMonth warmest;
    for (std::size_t m = 0; m < sum.size(); ++m) {
        if (count[m] < enough) continue;
        ++warmest.months;
        if (sum[m] / count[m] <= warmest.mean_k) continue;
        warmest.mean_k = sum[m] / count[m];
        warmest.month = static_cast<int>(m) + 1;
    }
    return warmest;
}

/// Where fruit grows, the mean low of the warmest month lies below 35 °C, and above freezing when it is a
/// month of summer (a low of 15 in July is °C): one from May to September, or the warmest of more than half a
/// year. March or April alone may be colder, but not by 20 °F; of a few months of winter nothing can be told.
void check_unit(const CsvTable& table, const Column& low, std::span<const StationDay> days,
                const std::string& when) {
    const WarmestMonth warmest = warmest_month(days);
    if (warmest.months == 0) return;
    constexpr int most_of_a_year = 7;
    constexpr double freezing = 273.15;
    const bool summer = (warmest.month >= 5 && warmest.month <= 9) || warmest.months >= most_of_a_year;
    const bool winter = warmest.month == 12 || warmest.month <= 2;
    const double too_cold = summer ? freezing : winter ? 0.0 : freezing - 20 / 1.8;
    const double reading = (warmest.mean_k - low.kelvin_at_zero) / low.kelvin_per_degree;
    const auto refuse = [&](std::string_view other) {
        throw InputError(fmt::format(
            "{}: in the warmest month{} the mean of {} is {:.0f}; that looks like {}: write all of the "
            "record in the unit that the header names",
            table.file, when, table.columns[low.at], reading, other));
    };
    if (warmest.mean_k < too_cold && low.kelvin_per_degree < 0.9) refuse("degC");
    if (warmest.mean_k > freezing + 35 && low.kelvin_per_degree > 0.9) refuse("degF");
}

/// The record as a whole, then each year for itself: some records change their unit on the way.
void check_units(const CsvTable& table, const Column& low, std::span<const StationDay> days) {
    check_unit(table, low, days, "");
    for (std::size_t i = 0; i < days.size();) {
        std::size_t end = i;
        while (end < days.size() && days[end].date.year == days[i].date.year) ++end;
        check_unit(table, low, days.subspan(i, end - i), fmt::format(" of {}", days[i].date.year));
        i = end;
    }
}

/// Days without a low, year by year between the year's first and last day in the record, so that a record of
/// springs alone has no gap each winter.
void count_gaps(StationRecord& record) {
    const StationDay* before = nullptr;
    for (const StationDay& day : record.days) {
        if (std::isnan(day.low_k)) continue;
        if (before != nullptr && before->date.year == day.date.year) {
            const long gap = days_since_2000(day.date) - days_since_2000(before->date) - 1;
            record.missing_days += gap;
            if (gap > record.longest_gap) {
                record.longest_gap = gap;
                record.longest_gap_after = text_of(before->date);
            }
        }
        before = &day;
    }
}

}  // namespace

StationRecord read_station_record(const std::filesystem::path& file) {
    const CsvTable table = read_csv(file);
    const Columns columns = columns_of(table);
    StationRecord record;
    record.unit = columns.low.unit;
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        const StationDay day = day_of(table, row, columns);
        if (!record.days.empty()) check_order(table, record.days.back(), day);
        record.days.push_back(day);
    }
    if (std::all_of(record.days.begin(), record.days.end(),
                    [](const StationDay& d) { return std::isnan(d.low_k); }))
        throw InputError(fmt::format("{} holds no low", table.file));
    check_units(table, columns.low, record.days);
    check_readings(table, columns, record.days);
    count_gaps(record);
    if (record.missing_days > 0)
        record.notes.push_back(fmt::format("{}: {} days have no low; the longest gap is {} days after {}",
                                           file.filename().string(), record.missing_days, record.longest_gap,
                                           record.longest_gap_after));
    return record;
}

MonthDay month_day_from(std::string_view text) {
    const auto refuse = [&] {
        throw InputError(fmt::format(R"("{}" is not a month and a day; write "04-12" for 12 April)", text));
    };
    if (text.size() != 5 || text[2] != '-') refuse();
    const MonthDay result{digits(text.substr(0, 2), 2), digits(text.substr(3), 2)};
    const std::chrono::month_day checked{std::chrono::month(static_cast<unsigned>(result.month)),
                                         std::chrono::day(static_cast<unsigned>(result.day))};
    if (!checked.ok()) refuse();
    // 29 February is not a day of every year.
    return result.month == 2 && result.day == 29 ? MonthDay{2, 28} : result;
}

}  // namespace lielow
