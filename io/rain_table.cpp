// SPDX-License-Identifier: Apache-2.0
#include "io/rain_table.hpp"

#include <fmt/format.h>

#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include "io/csv_table.hpp"
#include "io/quantity.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr std::string_view rain_prefix = "rain_";

std::size_t column_of(const CsvTable& table, std::string_view begins) {
    for (std::size_t i = 0; i < table.columns.size(); ++i) {
        if (table.columns[i].starts_with(begins)) return i;
    }
    throw InputError(
        fmt::format("{}: no column {}; a table of rain has the columns hours and rain_in or "
                    "rain_mm, the rain since the start",
                    table.file, begins == rain_prefix ? "rain_in or rain_mm" : begins));
}

double metres_in(const CsvTable& table, std::size_t column) {
    const std::string unit = table.columns[column].substr(rain_prefix.size());
    try {
        return parse_quantity("1 " + unit, Dimension::length);
    } catch (const InputError&) {
        throw InputError(fmt::format("{}: the column \"{}\" must name its unit: rain_in or rain_mm",
                                     table.file, table.columns[column]));
    }
}

double number_at(const CsvTable& table, std::size_t row, std::size_t column) {
    const std::string where = fmt::format("row {}", row + 1);
    const double number = csv_number(table, row, column, where);
    if (std::isnan(number))
        throw InputError(fmt::format("{}: {}: nothing under {}", table.file, where, table.columns[column]));
    return number;
}

}  // namespace

MassCurve read_rain_table(const std::filesystem::path& file) {
    const CsvTable table = read_csv(file);
    const std::size_t hours = column_of(table, "hours");
    const std::size_t rain = column_of(table, rain_prefix);
    const double unit = metres_in(table, rain);
    std::vector<double> time_s;
    std::vector<double> depth_m;
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        time_s.push_back(number_at(table, row, hours) * 3600);
        depth_m.push_back(number_at(table, row, rain) * unit);
    }
    if (!time_s.empty() && time_s.front() > 0) {
        time_s.insert(time_s.begin(), 0.0);
        depth_m.insert(depth_m.begin(), 0.0);
    }
    try {
        return {std::move(time_s), std::move(depth_m)};
    } catch (const InputError& error) {
        throw InputError(fmt::format("{}: {}", table.file, error.what()));
    }
}

}  // namespace lielow
