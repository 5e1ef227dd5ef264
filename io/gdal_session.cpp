// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_session.hpp"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <fmt/format.h>
#include <ogr_srs_api.h>

#include <cerrno>
#include <cstring>
#include <mutex>
#include <sstream>
#include <system_error>

#include "sim/errors.hpp"

namespace lielow::gdal {
namespace {

constexpr GIntBig kCacheBytes = GIntBig{256} << 20;

/// Enough for the last page of a small file: less than this is a full disk whatever errno says.
constexpr std::uintmax_t kFullDiskBytes = 65536;

void set_up() {
    // Failures on GDAL's own threads reach the program as a failed call; their text mustn't reach the
    // terminal.
    CPLSetErrorHandler(CPLQuietErrorHandler);
    GDALAllRegister();
    GDALSetCacheMax64(kCacheBytes);
    // A grid fetched from the network would make the result depend on the day.
    OSRSetPROJEnableNetwork(FALSE);
}

bool disk_full(const std::filesystem::path& path, int system_error) {
    if (system_error == ENOSPC || system_error == EDQUOT) return true;
    std::error_code ignored;
    const auto space = std::filesystem::space(path.parent_path().empty() ? "." : path.parent_path(), ignored);
    return !ignored && space.available < kFullDiskBytes;
}

}  // namespace

void start() {
    static std::once_flag once;
    std::call_once(once, set_up);
}

Errors::Errors() {
    start();
    CPLPushErrorHandlerEx(&Errors::keep, this);
    CPLErrorReset();
    errno = 0;
}

Errors::~Errors() {
    CPLPopErrorHandler();
}

void Errors::clear() {
    first_.clear();
    system_error_ = 0;
    errno = 0;
}

void CPL_STDCALL Errors::keep(CPLErr kind, CPLErrorNum /*number*/, const char* text) {
    const int system_error = errno;
    auto* self = static_cast<Errors*>(CPLGetErrorHandlerUserData());
    if (self == nullptr || kind < CE_Failure || self->any()) return;
    self->first_ = one_line(text);
    if (self->first_.empty()) self->first_ = "unknown failure";
    self->system_error_ = system_error;
}

Dataset over_buffer(void* data, std::int32_t rows, std::int32_t cols, GDALDataType type) {
    start();
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("MEM");
    Dataset dataset(driver->Create("", cols, rows, 0, type, nullptr));
    std::array<char, 64> address{};
    address[static_cast<std::size_t>(
        CPLPrintPointer(address.data(), data, static_cast<int>(address.size()) - 1))] = '\0';
    CPLStringList options;
    options.SetNameValue("DATAPOINTER", address.data());
    if (!dataset || dataset->AddBand(type, options.List()) != CE_None)
        throw RunError("out of memory for a raster");
    return dataset;
}

OGRSpatialReference crs_from(const std::string& text) {
    const Errors errors;
    OGRSpatialReference crs;
    if (crs.SetFromUserInput(text.c_str(), OGRSpatialReference::SET_FROM_USER_INPUT_LIMITATIONS_get()) !=
        OGRERR_NONE) {
        crs.Clear();
    }
    crs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return crs;
}

std::string wkt_of(const OGRSpatialReference& crs) {
    const char* const options[] = {"FORMAT=WKT2_2019", "MULTILINE=NO", nullptr};
    char* text = nullptr;
    crs.exportToWkt(&text, options);
    std::string wkt = text == nullptr ? "" : text;
    CPLFree(text);
    return wkt;
}

Transformation transformation(const OGRSpatialReference& from, const OGRSpatialReference& to) {
    const Errors errors;
    OGRSpatialReference source(from);
    OGRSpatialReference target(to);
    source.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    target.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return Transformation(OGRCreateCoordinateTransformation(&source, &target));
}

void throw_write_failure(const std::filesystem::path& path, const Errors& errors) {
    const std::string name = path.filename().string();
    if (disk_full(path, errors.system_error())) {
        throw RunError(fmt::format(
            "can't write {}: the disk is full; make room or choose another folder with --out", name));
    }
    throw RunError(fmt::format("can't write {}: {}", name, errors.any() ? errors.text() : "unknown failure"));
}

void close_written(Dataset dataset, const std::filesystem::path& path, const Errors& errors) {
    // Much is written only now, and GDALClose of this version returns nothing.
    dataset.reset();
    if (errors.any()) throw_write_failure(path, errors);
}

std::string display_name(const std::filesystem::path& path) {
    std::error_code ignored;
    const bool is_file = std::filesystem::exists(path, ignored);
    return is_file && path.has_filename() ? path.filename().string() : path.string();
}

std::string one_line(const std::string& text) {
    std::istringstream words(text);
    std::string line;
    for (std::string word; words >> word;) line += line.empty() ? word : " " + word;
    return line;
}

}  // namespace lielow::gdal
