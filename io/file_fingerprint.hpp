// SPDX-License-Identifier: Apache-2.0
// Size and checksum of a file, so that a result can be tied to what it was made from.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>

namespace lielow {

struct FileFingerprint {
    std::uint64_t bytes = 0;
    std::string sha256;  ///< 64 hexadecimal digits (FIPS 180-4)
};

/// SHA-256 of bytes, as 64 hexadecimal digits.
std::string checksum(std::span<const std::byte> bytes);

/// Throws InputError when `file` can't be read.
FileFingerprint fingerprint(const std::filesystem::path& file);

/// The same of a text.
FileFingerprint fingerprint_of_text(std::string_view text);

}  // namespace lielow
