// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace lielow {

/// Text as HTML wants it, also between quotation marks.
std::string html_text(std::string_view text);

}  // namespace lielow
