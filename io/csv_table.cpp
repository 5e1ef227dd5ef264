// SPDX-License-Identifier: Apache-2.0
#include "io/csv_table.hpp"

#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include <array>
#include <cmath>
#include <limits>

#include "io/gdal_session.hpp"
#include "io/number_text.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

gdal::Dataset open_csv(const std::filesystem::path& file) {
    gdal::start();
    std::error_code ignored;
    if (!std::filesystem::exists(file, ignored))
        throw InputError(fmt::format("there is no table {}", file.string()));
    if (std::filesystem::is_directory(file, ignored))
        throw InputError(fmt::format("{} is a folder; name the table in it", file.string()));
    const gdal::Errors errors;
    const std::array<const char*, 2> drivers{"CSV", nullptr};
    const std::array<const char*, 2> options{"HEADERS=YES", nullptr};
    // With the prefix the driver takes a file of any ending.
    const std::string name = "CSV:" + file.string();
    gdal::Dataset dataset(GDALDataset::FromHandle(GDALOpenEx(name.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY,
                                                             drivers.data(), options.data(), nullptr)));
    if (!dataset || dataset->GetLayerCount() == 0)
        throw InputError(fmt::format("{} can't be read as a table of comma-separated values{}{}",
                                     file.string(), errors.any() ? ": " : "", errors.text()));
    return dataset;
}

}  // namespace

CsvTable read_csv(const std::filesystem::path& file) {
    const gdal::Dataset dataset = open_csv(file);
    OGRLayer& layer = *dataset->GetLayer(0);
    CsvTable table;
    table.file = file.string();
    const OGRFeatureDefn& definition = *layer.GetLayerDefn();
    for (int i = 0; i < definition.GetFieldCount(); ++i)
        table.columns.emplace_back(trim(definition.GetFieldDefn(i)->GetNameRef()));
    const gdal::Errors errors;
    for (const auto& feature : layer) {
        std::vector<std::string> row;
        row.reserve(table.columns.size());
        for (int i = 0; i < definition.GetFieldCount(); ++i)
            row.emplace_back(trim(feature->GetFieldAsString(i)));
        table.rows.push_back(std::move(row));
    }
    if (errors.any()) throw InputError(fmt::format("{}: {}", table.file, errors.text()));
    if (table.rows.empty())
        throw InputError(
            fmt::format("{} is empty; below the row that names the columns it needs one row of "
                        "figures at least",
                        table.file));
    return table;
}

double csv_number(const CsvTable& table, std::size_t row, std::size_t column, std::string_view where) {
    const std::string& text = table.rows[row][column];
    if (text.empty()) return std::numeric_limits<double>::quiet_NaN();
    std::string_view rest = text;
    const auto number = take_number(rest);
    if (!number || !trim(rest).empty() || !std::isfinite(*number))
        throw InputError(
            fmt::format("{}, {}: {} = \"{}\" is not a number; leave it empty where it is missing", table.file,
                        where, table.columns[column], text));
    return *number;
}

}  // namespace lielow
