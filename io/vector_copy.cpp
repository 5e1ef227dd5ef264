// SPDX-License-Identifier: Apache-2.0
#include "io/vector_copy.hpp"

#include <gdal_utils.h>

#include "io/gdal_session.hpp"

namespace lielow {

bool copy_layer(const std::filesystem::path& source, const std::string& layer, const std::string& driver,
                const std::filesystem::path& target) {
    gdal::start();
    if (GetGDALDriverManager()->GetDriverByName(driver.c_str()) == nullptr) return false;
    const gdal::Errors errors;
    const gdal::Dataset from(GDALDataset::FromHandle(
        GDALOpenEx(source.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, nullptr, nullptr, nullptr)));
    if (!from) gdal::throw_write_failure(target, errors);
    CPLStringList words;
    for (const char* word : {"-f", driver.c_str(), layer.c_str()}) words.AddString(word);
    GDALVectorTranslateOptions* options = GDALVectorTranslateOptionsNew(words.List(), nullptr);
    GDALDatasetH handle = GDALDataset::ToHandle(from.get());
    gdal::Dataset to(
        GDALDataset::FromHandle(GDALVectorTranslate(target.c_str(), nullptr, 1, &handle, options, nullptr)));
    GDALVectorTranslateOptionsFree(options);
    if (!to) gdal::throw_write_failure(target, errors);
    gdal::close_written(std::move(to), target, errors);
    return true;
}

}  // namespace lielow
