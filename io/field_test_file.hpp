// SPDX-License-Identifier: Apache-2.0
// Tables of tests made in the field.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/fields.hpp"
#include "io/georef.hpp"
#include "sim/field_tests.hpp"

namespace lielow {

/// Reads a CSV table, a row for each reading, layer or sample; rows with one name (and kind) are one test, in
/// the order of the file. Columns: `name`; `kind` (percolation, pit, ph, penetrometer) unless `kind` is given
/// for the whole file; a place, x and y in the ground's CRS, or lon and lat (WGS 84), or `field` with a
/// field's name. Then, each with its unit in square brackets where it has one,
///   percolation: hole_radius [in], fill_depth [in], time [min], drop [in] (since the filling), presoak
///   pit, a layer: top [in], bottom [in], color, mottles, texture, roots, restriction
///   pit, its water: days_after_rain, water [in] (depth below the surface, empty = dry), date
///   ph: ph
///   penetrometer: pressure [psi]
/// Colours are Munsell's ("10YR 6/2") or words; gray is a chroma of 2 or less with a value of 4 or more
/// (Field Indicators of Hydric Soils: depleted), neutral or gleyed, and the words gray, grey and gleyed. Yes
/// and no stand as yes, no. Tests outside the ground are left out with a note. Throws InputError in one line
/// that names file, row and column, for everything else that can't be.
std::vector<FieldTest> read_field_tests(const std::filesystem::path& path, std::optional<TestKind> kind,
                                        const Grid& grid, const GeoReference& geo,
                                        const std::vector<FarmField>& fields,
                                        std::vector<std::string>& notes);

/// True for a colour that tells of long wetness. Throws InputError for what is no colour.
bool is_gray(std::string_view colour);

std::string_view test_kind_name(TestKind kind);

}  // namespace lielow
