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

class Digest {
  public:
    Digest() : context_(EVP_MD_CTX_new(), EVP_MD_CTX_free) {
        if (!context_ || EVP_DigestInit_ex(context_.get(), EVP_sha256(), nullptr) != 1)
            throw RunError("OpenSSL has no SHA-256 on this machine");
    }
    void add(const char* bytes, std::size_t count) {
        EVP_DigestUpdate(context_.get(), bytes, count);
        result_.bytes += count;
    }
    FileFingerprint finish() {
        std::array<unsigned char, 32> hash{};
        EVP_DigestFinal_ex(context_.get(), hash.data(), nullptr);
        result_.sha256 = fmt::format("{:02x}", fmt::join(hash, ""));
        return result_;
    }

  private:
    std::unique_ptr<EVP_MD_CTX, void (*)(EVP_MD_CTX*)> context_;
    FileFingerprint result_;
};

}  // namespace

std::string checksum(std::span<const std::byte> bytes) {
    Digest digest;
    digest.add(reinterpret_cast<const char*>(bytes.data()), bytes.size());
    return digest.finish().sha256;
}

FileFingerprint fingerprint(const std::filesystem::path& file) {
    Digest digest;
    std::ifstream stream(file, std::ios::binary);
    std::vector<char> chunk(std::size_t{1} << 20);
    while (stream) {
        stream.read(chunk.data(), static_cast<std::streamsize>(chunk.size()));
        digest.add(chunk.data(), static_cast<std::size_t>(stream.gcount()));
    }
    if (!stream.eof()) throw InputError(fmt::format("{} can't be read", file.string()));
    return digest.finish();
}

FileFingerprint fingerprint_of_text(std::string_view text) {
    Digest digest;
    digest.add(text.data(), text.size());
    return digest.finish();
}

}  // namespace lielow
