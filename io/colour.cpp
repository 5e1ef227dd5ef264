// SPDX-License-Identifier: Apache-2.0
#include "io/colour.hpp"

#include <fmt/format.h>

namespace lielow {

std::string hex_text(const Colour& colour) {
    return fmt::format("#{:02x}{:02x}{:02x}", colour[0], colour[1], colour[2]);
}

}  // namespace lielow
