// SPDX-License-Identifier: Apache-2.0
// What a comparison tells of each field, read from the rasters and summaries of its variants.
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/dem.hpp"
#include "io/people_units.hpp"
#include "tools/compare_variants.hpp"

namespace lielow {

/// One figure of a field.
struct FieldMeasure {
    std::string_view name;     ///< for machines, with its SI unit: "night_low_least_c"
    std::string_view heading;  ///< for people
    PeopleQuantity quantity;   ///< what `value` is told in
};
std::span<const FieldMeasure> field_measures();

/// Value of a measure in SI with what people_text() expects (temperatures in K); nothing where the site's
/// parts don't give it.
using MeasureValues = std::vector<std::optional<double>>;  ///< in the order of field_measures()

/// The rasters of a variant: its own where its parts ran, else the base's.
class Layers {
  public:
    Layers(const std::filesystem::path& out, const Variant& variant, const Grid& grid);
    [[nodiscard]] std::optional<Field<float>> read(std::string_view raster) const;
    [[nodiscard]] std::filesystem::path summary(std::string_view part) const;

  private:
    std::filesystem::path base_;
    std::filesystem::path own_;
    std::vector<std::string> parts_;
    const Grid& grid_;
};

/// Of every field of the variant, in its order.
std::vector<MeasureValues> measure_fields(const Variant& variant, const Dem& dem, const Layers& layers);

/// Number `name` of summary.json's part `part`; nothing where there is none.
std::optional<double> part_figure(const Layers& layers, std::string_view part, std::string_view name);

}  // namespace lielow
