// SPDX-License-Identifier: Apache-2.0
// The known name a mistyped one was most likely meant to be.
#pragma once

#include <cstddef>
#include <span>
#include <string_view>

namespace lielow {

/// Least number of letters to insert, delete, replace or swap with a neighbour to turn one into the other, no
/// letter touched twice (the restricted distance of Damerau 1964, Communications of the ACM 7:171-176).
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The nearest of `known` (the first of equals); empty when there is none.
std::string_view nearest_name(std::string_view name, std::span<const std::string_view> known);

}  // namespace lielow
