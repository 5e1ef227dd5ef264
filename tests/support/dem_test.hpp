// SPDX-License-Identifier: Apache-2.0
// What the tests of reading a DEM share.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "io/dem.hpp"
#include "sim/errors.hpp"
#include "support/make_raster.hpp"
#include "support/temp_dir.hpp"

namespace lielow::testing {

constexpr double kFoot = 0.3048;                 // EPSG unit 9002
constexpr double kSurveyFoot = 1200.0 / 3937.0;  // EPSG unit 9003

inline bool noted(const Dem& dem, const std::string& part) {
    return std::any_of(dem.notes.begin(), dem.notes.end(), [&](const std::string& note) {
        return note.find(part) != std::string::npos && note.find('\n') == std::string::npos;
    });
}

class DemTest : public ::testing::Test {
  protected:
    Dem read(const RasterSpec& spec, DemRequest request = {}) {
        request.path = make_raster(dir_ / "dem.tif", spec);
        return read_dem(request);
    }
    TempDir dir_;
};

}  // namespace lielow::testing
