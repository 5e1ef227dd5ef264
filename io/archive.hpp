// SPDX-License-Identifier: Apache-2.0
// archive.nc: the night and the storm through time, as netCDF-4 with CF conventions. docs/archive.md has its
// layout.
#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "io/georef.hpp"
#include "io/netcdf_file.hpp"
#include "io/summary.hpp"
#include "sim/coarse_ground.hpp"
#include "sim/grid.hpp"

namespace lielow {

/// What a variable says of itself.
struct ArchiveLabel {
    std::string name;
    std::string long_name;
    std::string units;
    std::string standard_name = {};  ///< of CF's table; "" where it has none
    std::string cell_methods = {};
};

class Archive {
  public:
    /// `about` gives title, version, settings and inputs; all else of it isn't used. `geo` is that of the
    /// DEM.
    Archive(const Summary& about, const GeoReference& geo);

    /// The cells of a part, blocks of the DEM's: dimensions PREFIXy and PREFIXx and the variable PREFIXcrs.
    void add_cells(const std::string& prefix, const Grid& grid, const Blocks& blocks);
    /// PREFIXtime, which grows.
    void add_time(const std::string& prefix, const NetcdfAttributes& attributes);
    void add_axis(const std::string& name, std::span<const double> values,
                  const NetcdfAttributes& attributes);
    /// A field that doesn't change.
    void add_field(const std::string& prefix, const ArchiveLabel& label, const Field<float>& values);
    /// Over PREFIXtime and the cells; `between` is the axis of its layers, if it has any. `height_m`: above
    /// the ground; NaN where that means nothing.
    void add_series(const std::string& prefix, const ArchiveLabel& label, double height_m,
                    const std::string& between = "");
    /// Over PREFIXtime alone.
    void add_sequence(const std::string& prefix, const ArchiveLabel& label);

    /// A new moment, to which write() adds.
    void append(const std::string& prefix, double time) { file_.append(prefix + "time", time); }
    void write(const std::string& name, std::span<const float> values) { file_.write_last(name, values); }

    /// Nothing but what it says of itself.
    [[nodiscard]] bool empty() const { return empty_; }
    void save(const std::filesystem::path& path) { file_.save(path); }

  private:
    NetcdfFile file_;
    GeoReference geo_;
    bool empty_ = true;
};

}  // namespace lielow
