// SPDX-License-Identifier: Apache-2.0
// Writes a file of HDF5 that is a netCDF-4 file too: dimensions are dimension scales, texts UTF-8.
//
// It is built up in memory, compressed piece by piece, and written in one go by save(): a full disk then is a
// plain error of writing, and nothing half-made ever has a name. The bytes depend on what was put in and on
// the library's version: no times are kept.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace lielow {

/// Of a variable or of the file.
using NetcdfValue = std::variant<std::string, double, std::vector<double>>;
using NetcdfAttributes = std::vector<std::pair<std::string, NetcdfValue>>;

class NetcdfFile {
  public:
    NetcdfFile();
    ~NetcdfFile();
    NetcdfFile(const NetcdfFile&) = delete;
    NetcdfFile& operator=(const NetcdfFile&) = delete;

    void attributes(const NetcdfAttributes& attributes);
    /// A group that holds attributes alone.
    void group(const std::string& name, const NetcdfAttributes& attributes);

    /// A dimension and its coordinate variable (double).
    void dimension(const std::string& name, std::span<const double> values,
                   const NetcdfAttributes& attributes);
    /// The same, to grow by append().
    void growing_dimension(const std::string& name, const NetcdfAttributes& attributes);
    /// A variable of float32 over dimensions that are there; chunked, shuffled, deflated; NaN becomes
    /// `missing`.
    void variable(const std::string& name, const std::vector<std::string>& dimensions,
                  const NetcdfAttributes& attributes);
    /// An integer without dimensions, which carries attributes.
    void scalar(const std::string& name, const NetcdfAttributes& attributes);

    /// All of a variable over dimensions of fixed size.
    void write(const std::string& name, std::span<const float> values);
    /// Lengthens a growing dimension by one; `value` goes into its coordinate variable.
    void append(const std::string& dimension, double value);
    /// What belongs to the last place of a variable's first dimension, which grows. Throws RunError when the
    /// number of values is wrong.
    void write_last(const std::string& name, std::span<const float> values);

    /// Throws RunError when the file can't be written.
    void save(const std::filesystem::path& path);

    static constexpr float missing = -9999.0F;

  private:
    std::int64_t file_ = -1;
    std::map<std::string, std::uint64_t> sizes_;  ///< of the dimensions
};

}  // namespace lielow
