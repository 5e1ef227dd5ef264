// SPDX-License-Identifier: Apache-2.0
// The frost night over ground that isn't held in memory: solved on its coarse cells, laid on the DEM's by
// strips.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "io/staging.hpp"
#include "io/wide_ground.hpp"
#include "tools/night_setup.hpp"
#include "tools/progress.hpp"
#include "tools/wide_solve.hpp"

namespace lielow {

/// The night that a site file asks for over a DEM that stays in its file. Of the site file the section
/// [night] counts, with what `lielow run` does without the rest.
class WideNight {
  public:
    /// Reads and judges the site file, finds the reference spot and plans the night. Throws InputError for
    /// what `lielow run` refuses, a night.reference that names a field, and for too little `memory`, bytes.
    WideNight(const WideDem& dem, const std::filesystem::path& site_file, std::uint64_t memory,
              Progress& progress);

    /// Throws RunError where the disk under the results has no room for what the work leaves there meanwhile.
    void check_disk(const std::filesystem::path& folder) const;

    /// Solves the night and writes those of its rasters that are wanted. Throws as WideDem, RunError and
    /// Interrupted.
    void run(const Staging& staging, bool low, bool offset);

    /// Line by line: what was left unused or seems odd, and after run() what came out.
    [[nodiscard]] const std::vector<std::string>& notes() const { return notes_; }

  private:
    void note_unused();
    void check_memory();
    [[nodiscard]] NightSetup setup_on_cells(const Field<double>& cells);
    [[nodiscard]] SolvedNight solve(const Staging& staging);
    void map(const Staging& staging, const SolvedNight& night, bool low, bool offset);
    void write_low(ScratchRaster& raster, const SolvedNight& night);
    void take_reference(ScratchRaster& raster, float reference);
    void begin(const char* stage);
    template <class Work>
    void each_strip(Work work);
    void tell(const SolvedNight& night);

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
    NightFit fit_;
    std::int32_t strip_rows_ = 0;  ///< of the maps
    float reference_low_c_ = 0;
};

}  // namespace lielow
