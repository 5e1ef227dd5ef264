// SPDX-License-Identifier: Apache-2.0
#include "tools/batch_list.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <map>
#include <string_view>

#include "io/csv_table.hpp"
#include "io/site.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

namespace fs = std::filesystem;

/// Columns that aren't site keys.
constexpr std::array<std::string_view, 4> own_columns{"name", "site", "dem", "fields"};
/// Names in the out directory that aren't farms.
constexpr std::array<std::string_view, 4> taken{"farms.csv", "farms.gpkg", "index.html", "farms.parquet"};

std::string key_of(const std::string& column) {
    return column == "dem" || column == "fields" ? "ground." + column : column;
}

void check_columns(const CsvTable& table) {
    for (const std::string& column : table.columns) {
        try {
            require_site_key(column, own_columns);
        } catch (const InputError& error) {
            throw InputError(fmt::format("{}: {}", table.file, error.what()));
        }
        const auto twice = [&](const std::string& other) { return key_of(other) == key_of(column); };
        if (std::count_if(table.columns.begin(), table.columns.end(), twice) > 1)
            throw InputError(fmt::format("{}: two columns say {}; keep one", table.file, key_of(column)));
    }
    if (std::find(table.columns.begin(), table.columns.end(), "name") == table.columns.end())
        throw InputError(
            fmt::format("{} has no column \"name\"; add one with a name for each farm", table.file));
}

std::string cell(const CsvTable& table, std::size_t row, std::string_view column) {
    const auto found = std::find(table.columns.begin(), table.columns.end(), column);
    if (found == table.columns.end()) return {};
    return table.rows[row][static_cast<std::size_t>(found - table.columns.begin())];
}

std::vector<RowValue> row_values(const CsvTable& table, std::size_t row) {
    std::vector<RowValue> values;
    for (std::size_t c = 0; c < table.columns.size(); ++c) {
        const std::string& column = table.columns[c];
        const std::string& text = table.rows[row][c];
        if (column != "name" && column != "site" && !text.empty())
            values.push_back({key_of(column), text, column});
    }
    return values;
}

/// What a run would only find after the rows before it have had their turn.
void check_inputs(const ComposedSite& site) {
    const auto dem = [](const SitePath& path) { return path.key == "ground.dem"; };
    if (std::none_of(site.paths.begin(), site.paths.end(), dem))
        throw InputError("it names no DEM; give a column dem, or ground.dem in the site file");
    std::error_code ignored;
    for (const SitePath& path : site.paths) {
        // A path with a colon or under /vsi may be GDAL's own way of naming a part of a file.
        if (path.written.find(':') != std::string::npos || path.written.starts_with("/vsi")) continue;
        if (!fs::exists(path.file, ignored))
            throw InputError(fmt::format("{}: there is no file {}", path.key, path.file.string()));
    }
}

BatchRow read_row(const CsvTable& table, std::size_t row, const fs::path& base, const fs::path& out) {
    BatchRow farm;
    farm.number = row + 1;
    farm.name = cell(table, row, "name");
    const std::string where = fmt::format("{}, row {}", table.file, farm.number);
    if (farm.name.empty()) {
        farm.name = fmt::format("row {}", farm.number);
        farm.error = where + ": it has no name";
    }
    farm.folder = folder_name(farm.name);
    if (!farm.error.empty()) return farm;
    const std::string own_site = cell(table, row, "site");
    const fs::path list_folder = fs::path(table.file).parent_path();
    try {
        farm.site = compose_site({own_site.empty() ? base : list_folder / own_site, row_values(table, row),
                                  list_folder, farm.name, !own_site.empty(), out / farm.folder});
        check_inputs(farm.site);
    } catch (const InputError& error) {
        farm.error = fmt::format("{}: {}", where, error.what());
    }
    return farm;
}

/// A file system may not tell capitals from small letters.
std::string small_letters(std::string text) {
    for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return text;
}

void check_names(const BatchList& list) {
    std::map<std::string, std::vector<std::size_t>> rows;
    for (const BatchRow& row : list.rows) rows[small_letters(row.folder)].push_back(row.number);
    std::size_t repeated = 0;
    const std::vector<std::size_t>* first = nullptr;
    for (const auto& [name, numbers] : rows) {
        if (numbers.size() < 2) continue;
        repeated += numbers.size();
        if (first == nullptr || numbers.front() < first->front()) first = &numbers;
    }
    if (first == nullptr) return;
    const std::size_t others = repeated - 2;
    throw InputError(fmt::format(
        "{}: rows {} and {}{} have the same name, {}; every farm needs a name of its own, and capitals and "
        "signs don't tell folders apart",
        list.file.string(), first->at(0), first->at(1), others > 0 ? fmt::format(" ({} more)", others) : "",
        list.rows[first->at(0) - 1].name));
}

}  // namespace

std::string folder_name(const std::string& name) {
    constexpr std::size_t longest = 100;
    std::string folder;
    for (const char c : name.substr(0, longest)) {
        const auto letter = static_cast<unsigned char>(c);
        const bool fine = std::isalnum(letter) != 0 || letter >= 0x80 || c == '-' || c == '.' || c == '_';
        folder += fine ? c : '_';
    }
    if (folder.front() == '.') folder.front() = '_';
    const std::string small = small_letters(folder);
    const bool is_taken = std::find(taken.begin(), taken.end(), small) != taken.end();
    if (is_taken || small.starts_with("journal")) folder.insert(folder.begin(), '_');
    return folder;
}

BatchList read_batch_list(const fs::path& file, const fs::path& base, const fs::path& out) {
    const CsvTable table = read_csv(file);
    check_columns(table);
    if (!base.empty()) (void)read_partial_site(base);
    BatchList list{file, {}};
    for (std::size_t row = 0; row < table.rows.size(); ++row)
        list.rows.push_back(read_row(table, row, base, out));
    check_names(list);
    return list;
}

}  // namespace lielow
