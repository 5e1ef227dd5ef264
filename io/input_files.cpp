// SPDX-License-Identifier: Apache-2.0
#include "io/input_files.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

gdal::Dataset open_quietly(const std::filesystem::path& file, unsigned kinds) {
    gdal::start();
    const gdal::Errors errors;
    return gdal::Dataset(GDALDataset::FromHandle(
        GDALOpenEx(file.c_str(), kinds | GDAL_OF_READONLY, nullptr, nullptr, nullptr)));
}

}  // namespace

std::vector<std::filesystem::path> files_behind(const std::filesystem::path& input) {
    const gdal::Dataset dataset = open_quietly(input, GDAL_OF_RASTER | GDAL_OF_VECTOR);
    std::error_code ignored;
    if (!dataset && !std::filesystem::exists(input, ignored))
        throw InputError(fmt::format("there is no file {}", input.string()));
    std::vector<std::filesystem::path> files{input};
    if (dataset) {
        const CPLStringList list(dataset->GetFileList());
        for (int i = 0; i < list.size(); ++i) files.emplace_back(list[i]);
    }
    std::erase_if(files, [&](const auto& file) { return !std::filesystem::is_regular_file(file, ignored); });
    std::sort(files.begin(), files.end());
    files.erase(std::unique(files.begin(), files.end()), files.end());
    return files;
}

std::uint64_t raster_cells(const std::filesystem::path& file) {
    const gdal::Dataset dataset = open_quietly(file, GDAL_OF_RASTER);
    if (!dataset) return 0;
    return static_cast<std::uint64_t>(dataset->GetRasterXSize()) *
           static_cast<std::uint64_t>(dataset->GetRasterYSize());
}

}  // namespace lielow
