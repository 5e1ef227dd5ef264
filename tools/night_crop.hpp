// SPDX-License-Identifier: Apache-2.0
// What a night's cold does to the crop: hours of frost, flowers lost, and in how many springs.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "io/crop_table.hpp"
#include "io/station_record.hpp"
#include "sim/frost_years.hpp"
#include "tools/reference_spot.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// The springs of the thermometer's record, and what it is compared with on the ground.
struct StationOutlook {
    Springs springs;
    TenderWindow window;
    double threshold_k = 0;           ///< at which a spring counts as damaging
    std::optional<std::size_t> cell;  ///< under the thermometer; nullopt = the reference spot
    std::string place;                ///< how people are told of it
};

struct CropOutlook {
    std::string kind;
    CropStage stage;
    std::optional<StationOutlook> station;
};

/// Reads the crop and the record a site file names; nothing where it names no crop. Notes are added to
/// `notes`. Throws InputError in one line that names the site file.
std::optional<CropOutlook> read_site_crop(const Site& site, const Dem& dem, std::vector<std::string>& notes);

/// Two or three lines for `lielow check`: the crop's temperatures, and the springs of the record.
std::string crop_text(const CropOutlook& crop, PeopleUnits units);

/// Rasters frost_hours, loss_share and, with a record, loss_years; the fields' figures; the night's facts.
/// `offset`: night_offset, K.
void write_crop_rasters(SiteRun& run, const CropOutlook& crop, const NightSetup& setup,
                        const Field<float>& offset, const ReferenceSpot& spot, PartRecord& record);

}  // namespace lielow
