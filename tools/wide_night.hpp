// SPDX-License-Identifier: Apache-2.0
// The frost night over ground that isn't held in memory: solved on its coarse cells, laid on the DEM's by
// tiles.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "io/staging.hpp"
#include "io/wide_ground.hpp"
#include "tools/night_setup.hpp"
#include "tools/progress.hpp"

namespace lielow {

/// Some of a night's cells at their coldest moments, as NightResult has them.
struct ColdestCells {
    Field<double> ground;
    std::vector<Field<float>> height;
    Field<float> gradient;
};

/// The night that a site file asks for over a DEM that stays in its file. Of the site file the section
/// [night] counts, with what `lielow run` does without the rest.
class WideNight {
  public:
    /// Reads and judges the site file, finds the reference spot and plans the night. Throws InputError for
    /// what `lielow run` refuses, a night.reference that names a field, and for too little `memory`, bytes.
    WideNight(const WideDem& dem, const std::filesystem::path& site_file, std::uint64_t memory,
              Progress& progress);

    /// Solves the night and writes those of its rasters that are wanted. Throws as WideDem, RunError and
    /// Interrupted.
    void run(const Staging& staging, bool low, bool offset);

    /// Line by line: what was left unused or seems odd, and after run() what came out.
    [[nodiscard]] const std::vector<std::string>& notes() const { return notes_; }

  private:
    using ReadColdest = std::function<ColdestCells(const Window& cells)>;

    void note_unused();
    void check_memory();
    [[nodiscard]] NightSetup setup_on_cells(const Field<double>& cells);
    [[nodiscard]] NightResult solve();
    void map(const Staging& staging, const ColumnScale& scale, const ReadColdest& coldest, bool low,
             bool offset);
    void write_low(ScratchRaster& raster, const ColumnScale& scale, const ReadColdest& coldest);
    void take_reference(ScratchRaster& raster, float reference);
    void begin(const char* stage);
    template <class Work>
    void each_strip(Work work);
    void tell(const NightResult& night);

    const WideDem& dem_;
    std::uint64_t memory_;
    Progress& progress_;
    ReadWindow<float> heights_;
    double read_ = 0;  ///< cells of this stage
    Site site_;
    std::vector<std::string> notes_;
    SiteEvening evening_;
    NightSetup setup_;
    NightPlan plan_;
    std::int32_t strip_rows_ = 0;  ///< of the maps
    float reference_low_c_ = 0;
};

}  // namespace lielow
