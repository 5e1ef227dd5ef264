// SPDX-License-Identifier: Apache-2.0
// A site file without what doesn't matter to a question, to tell whether it has been answered before.
#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <string_view>

namespace lielow {

/// What the site file says, without its comments, layout and order, and without the sections or keys at the
/// top that are named. Throws InputError when it can't be read.
std::string site_text_without(const std::filesystem::path& file, std::span<const std::string_view> names);

}  // namespace lielow
