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

namespace {

class Sha256 {
  public:
    Sha256() : digest_(EVP_MD_CTX_new(), EVP_MD_CTX_free) {
        if (!digest_ || EVP_DigestInit_ex(digest_.get(), EVP_sha256(), nullptr) != 1)
            throw RunError("OpenSSL has no SHA-256 on this machine");
    }
    void add(const void* data, std::size_t size) { EVP_DigestUpdate(digest_.get(), data, size); }
    std::string text() {
        std::array<unsigned char, 32> hash{};
        EVP_DigestFinal_ex(digest_.get(), hash.data(), nullptr);
        return fmt::format("{:02x}", fmt::join(hash, ""));
    }

  private:
    std::unique_ptr<EVP_MD_CTX, void (*)(EVP_MD_CTX*)> digest_;
};

}  // namespace

std::string checksum(std::span<const std::byte> bytes) {
    Sha256 sum;
    sum.add(bytes.data(), bytes.size());
    return sum.text();
}

FileFingerprint fingerprint(const std::filesystem::path& file) {
    Sha256 sum;
    FileFingerprint result;
    std::ifstream stream(file, std::ios::binary);
    std::vector<char> chunk(std::size_t{1} << 20);
    while (stream) {
        stream.read(chunk.data(), static_cast<std::streamsize>(chunk.size()));
        const auto got = static_cast<std::size_t>(stream.gcount());
        sum.add(chunk.data(), got);
        result.bytes += got;
    }
    if (!stream.eof()) throw InputError(fmt::format("{} can't be read", file.string()));
    result.sha256 = sum.text();
    return result;
}

}  // namespace lielow
