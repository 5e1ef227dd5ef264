// SPDX-License-Identifier: Apache-2.0
// Size and checksum of a file, so that a result can be tied to what it was made from.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>

namespace lielow {

struct FileFingerprint {
    std::uint64_t bytes = 0;
    std::string sha256;  ///< 64 hexadecimal digits (FIPS 180-4)
};

/// Throws InputError when `file` can't be read.
FileFingerprint fingerprint(const std::filesystem::path& file);

/// SHA-256 of a text, 64 hexadecimal digits.
std::string fingerprint_of(std::string_view text);

}  // namespace lielow
