// SPDX-License-Identifier: Apache-2.0
// A table of comma-separated values (RFC 4180; semicolons and tabs too), as texts. GDAL's CSV driver reads
// it.
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace lielow {

struct CsvTable {
    std::string file;  ///< for messages
    std::vector<std::string> columns;
    std::vector<std::vector<std::string>> rows;  ///< each as long as `columns`; "" where nothing stands
};

/// The first row names the columns. Throws InputError in one line: no such file, a folder, not a table, no
/// rows.
CsvTable read_csv(const std::filesystem::path& file);

/// The number in a cell; NaN where it is empty. Throws InputError, naming the file, the row as `where` and
/// the column, for anything else.
double csv_number(const CsvTable& table, std::size_t row, std::size_t column, std::string_view where);

}  // namespace lielow
