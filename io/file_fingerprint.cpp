// SPDX-License-Identifier: Apache-2.0
#include "io/file_fingerprint.hpp"

#include <fmt/format.h>
#include <openssl/evp.h>

#include <array>
#include <fstream>
#include <memory>
#include <vector>

#include "sim/errors.hpp"

namespace lielow {

FileFingerprint fingerprint(const std::filesystem::path& file) {
    const std::unique_ptr<EVP_MD_CTX, void (*)(EVP_MD_CTX*)> digest(EVP_MD_CTX_new(), EVP_MD_CTX_free);
    if (!digest || EVP_DigestInit_ex(digest.get(), EVP_sha256(), nullptr) != 1)
        throw RunError("OpenSSL has no SHA-256 on this machine");
    FileFingerprint result;
    std::ifstream stream(file, std::ios::binary);
    std::vector<char> chunk(std::size_t{1} << 20);
    while (stream) {
        stream.read(chunk.data(), static_cast<std::streamsize>(chunk.size()));
        const auto got = static_cast<std::size_t>(stream.gcount());
        EVP_DigestUpdate(digest.get(), chunk.data(), got);
        result.bytes += got;
    }
    if (!stream.eof()) throw InputError(fmt::format("{} can't be read", file.string()));
    std::array<unsigned char, 32> hash{};
    EVP_DigestFinal_ex(digest.get(), hash.data(), nullptr);
    result.sha256 = fmt::format("{:02x}", fmt::join(hash, ""));
    return result;
}

std::string fingerprint_of(std::string_view text) {
    std::array<unsigned char, 32> hash{};
    if (EVP_Digest(text.data(), text.size(), hash.data(), nullptr, EVP_sha256(), nullptr) != 1)
        throw RunError("OpenSSL has no SHA-256 on this machine");
    return fmt::format("{:02x}", fmt::join(hash, ""));
}

}  // namespace lielow
