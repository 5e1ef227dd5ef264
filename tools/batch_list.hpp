// SPDX-License-Identifier: Apache-2.0
// The list of a batch: one row a farm, as a person writes it, turned into site files ready to run.
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include "io/site_compose.hpp"

namespace lielow {

struct BatchRow {
    std::size_t number = 0;  ///< 1 for the first row below the names of the columns
    std::string name;
    std::string folder;  ///< the name as a folder's, below the out directory
    ComposedSite site;
    std::string error;  ///< one line; empty = the row is sound as far as can be told without running it
};

struct BatchList {
    std::filesystem::path file;
    std::vector<BatchRow> rows;
};

/// Reads the list and composes each row's site file, which will lie in `out`/FOLDER. `base` is a site file
/// shared by all rows; empty = none. What is wrong with one row stands in that row. Throws InputError in one
/// line for what is wrong with the whole list: no such file, empty, an unknown column, no column `name`, two
/// farms of one name, a base that can't be read.
BatchList read_batch_list(const std::filesystem::path& file, const std::filesystem::path& base,
                          const std::filesystem::path& out);

/// `name` with what folders can't be called replaced by "_".
std::string folder_name(const std::string& name);

}  // namespace lielow
