// SPDX-License-Identifier: Apache-2.0
// What could be done about cold and wet ground, as the site file's [remedy.NAME] sections say it.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/frost_years.hpp"

namespace lielow {

enum class RemedyKind : std::uint8_t {
    raised_bed,
    drains,
    ditch,
    bank,
    gap,
    tree_belt,
    hedge,
    fan,
    moved_field,
    later_stage
};

/// "raised bed", "drains" ...
std::string_view remedy_kind_name(RemedyKind kind);
/// In the order of RemedyKind.
const std::vector<std::string_view>& remedy_kind_names();

/// True for what stands on the ground or opens what stands there: bank, gap, belt, hedge, fan.
bool is_obstacle(RemedyKind kind);

struct Remedy {
    std::string name;  ///< free text
    RemedyKind kind = RemedyKind::raised_bed;
    std::vector<std::string> fields;  ///< names; empty = every field
    std::optional<double> height_m;
    std::optional<double> depth_m;
    std::optional<double> spacing_m;
    std::optional<double> width_m;
    std::optional<double> openness;  ///< 0..1
    std::optional<double> radius_m;
    std::optional<double> heat_w;
    std::optional<double> east_m;
    std::optional<double> north_m;
    std::vector<std::array<double, 2>> at;      ///< map positions, in the ground's CRS
    std::optional<std::filesystem::path> file;  ///< shapes, in place of `at`
    std::optional<std::string> stage;
    std::optional<MonthDay> tender_from;
    std::optional<MonthDay> tender_to;
    std::string text;  ///< kind and keys as written, in a fixed order: "gap, at 501300, 4400200, width 20 ft"

    /// Whether it acts in the field of that name.
    [[nodiscard]] bool acts_in(const std::string& field) const;
};

}  // namespace lielow
