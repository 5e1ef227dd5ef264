// SPDX-License-Identifier: Apache-2.0
// The siting of a field in sentences that its grower understands.
#pragma once

#include <string>

#include "io/people_units.hpp"
#include "sim/compass.hpp"
#include "sim/siting.hpp"

namespace lielow {

/// Parts of a field smaller than this share of it aren't told of one by one.
inline constexpr double least_told_share = 0.01;

struct SitingVoice {
    std::string crop;  ///< "highbush blueberry"
    PeopleUnits units = PeopleUnits::us;
    RasterAxes axes;
    double ph_low = 0;  ///< below it lime is the work, above it sulfur
    double followed_days =
        0;  ///< after the storm; ground that is wet to the end may be wet for longer. 0: no limit
};

/// "6.20 of 7.50 acres can be planted as they are; 1.10 acres in the south are not for it: about one spring
/// in 3 does damage." One sentence, without the field's name.
std::string siting_verdict(const FieldSiting& field, const SitingVoice& voice);

/// What a figure says: "about one spring in 3 does damage"; empty for a name that isn't known.
std::string figure_words(const std::string& figure, double value, PeopleUnits units);

/// The work that lifts a factor: "drains or raised beds".
std::string work_words(SitingFactor factor, double value, double ph_low);

/// How to come to know it: "soil pH (a soil test)".
std::string test_words(SitingFactor factor);

/// The reason that takes most ground out of the class plant: "frost"; "none" where none does.
std::string main_reason(const FieldSiting& field);

}  // namespace lielow
