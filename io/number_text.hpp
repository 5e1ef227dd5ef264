// SPDX-License-Identifier: Apache-2.0
// Numbers out of text, whatever the machine's locale thinks of decimal commas.
#pragma once

#include <optional>
#include <string_view>

namespace lielow {

/// Without the blanks around it.
std::string_view trim(std::string_view text);

/// Takes a number off the front of `text` (leading blanks too) and returns it; nullopt, and `text` as it was,
/// when there is none or it is too large for a double. May be infinite or not a number when the text says so.
std::optional<double> take_number(std::string_view& text);

}  // namespace lielow
