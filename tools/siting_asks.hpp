// SPDX-License-Identifier: Apache-2.0
// What a site asks of ground that shall be planted: the site file's limits, and the crop's where it says
// none.
#pragma once

#include <string>
#include <vector>

#include "io/site.hpp"
#include "sim/siting.hpp"

namespace lielow {

/// One pair of limits as people are told of it.
struct SitingAsk {
    std::string key;     ///< "soil_depth"
    std::string what;    ///< "depth of soil"
    std::string plant;   ///< "at least 20.00 in"
    std::string work;    ///< "at least 8.00 in"
    std::string source;  ///< of the limits: "site file", "default", or who published the crop's
};

struct SitingAsks {
    SitingLimitSet limits;
    SitingRule rule;
    std::vector<SitingAsk> told;
    std::vector<std::string> notes;  ///< what isn't known of the crop, what stands in the table from memory
};

/// A limit comes from the site file, else from the crop's row of io/crop_needs.toml, else from the default. A
/// default never contradicts the other limit of its pair: it is moved to it. Throws InputError, with the site
/// file's name, for a pair that is upside down. Where no band of pH is known pH isn't judged and so not
/// necessary.
SitingAsks siting_asks(const Site& site);

/// Table for `lielow check`; empty without a crop.
std::string siting_text(const Site& site);

}  // namespace lielow
