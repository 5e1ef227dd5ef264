// SPDX-License-Identifier: Apache-2.0
// Private to io/: GDAL set up once, its errors as text instead of chatter on stderr, and handles that close
// themselves.
#pragma once

#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <array>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>

namespace lielow::gdal {

/// Registers the drivers, bounds the block cache to 256 MB, keeps PROJ off the network. Cheap to call again.
void start();

/// While it lives, what GDAL reports on this thread is kept here.
class Errors {
  public:
    Errors();
    ~Errors();
    Errors(const Errors&) = delete;
    Errors& operator=(const Errors&) = delete;

    [[nodiscard]] bool any() const { return !first_.empty(); }
    /// The first failure on one line (the first names the cause, the later ones what followed from it); empty
    /// if none.
    [[nodiscard]] const std::string& text() const { return first_; }
    /// errno when the first failure was reported.
    [[nodiscard]] int system_error() const { return system_error_; }
    void clear();

  private:
    static void CPL_STDCALL keep(CPLErr kind, CPLErrorNum number, const char* text);
    std::string first_;
    int system_error_ = 0;
};

struct DatasetCloser {
    void operator()(GDALDataset* dataset) const { GDALClose(GDALDataset::ToHandle(dataset)); }
};
using Dataset = std::unique_ptr<GDALDataset, DatasetCloser>;

struct TransformationDeleter {
    void operator()(OGRCoordinateTransformation* t) const { OGRCoordinateTransformation::DestroyCT(t); }
};
using Transformation = std::unique_ptr<OGRCoordinateTransformation, TransformationDeleter>;

/// A dataset of one band over `data` (row-major, rows × cols), which must outlive it. No copy is made.
Dataset over_buffer(void* data, std::int32_t rows, std::int32_t cols, GDALDataType type);

/// Reads any text PROJ understands; x is east, y north whatever the authority says. Empty (IsEmpty) when it
/// can't.
OGRSpatialReference crs_from(const std::string& text);

/// WKT2:2019.
std::string wkt_of(const OGRSpatialReference& crs);

/// From one horizontal CRS to another, x east and y north. Null when PROJ knows no way.
Transformation transformation(const OGRSpatialReference& from, const OGRSpatialReference& to);

/// Throws RunError in one line for a file that couldn't be written, naming a full disk as such.
[[noreturn]] void throw_write_failure(const std::filesystem::path& path, const Errors& errors);

/// Closes what was written and throws RunError when GDAL reported a failure then or before.
void close_written(Dataset dataset, const std::filesystem::path& path, const Errors& errors);

/// The name people know an input by: the file's name, or the whole text where it isn't a file's path.
std::string display_name(const std::filesystem::path& path);

/// `text` on one line, blanks run together.
std::string one_line(const std::string& text);

}  // namespace lielow::gdal
