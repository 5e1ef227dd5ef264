// SPDX-License-Identifier: Apache-2.0
#include "io/file_fingerprint.hpp"

#include <gtest/gtest.h>

#include "sim/errors.hpp"
#include "tests/support/temp_dir.hpp"

namespace lielow {
namespace {

FileFingerprint of(const std::string& bytes) {
    const testing::TempDir folder;  // its own for every call: CTest runs the cases side by side
    testing::write_text(folder / "file", bytes);
    return fingerprint(folder / "file");
}

// The examples of the Secure Hash Standard (NIST, SHA-256 example values for FIPS 180-4): "abc", and a
// million times "a".
TEST(Fingerprint, AgreesWithThePublishedExamples) {
    const FileFingerprint abc = of("abc");
    EXPECT_EQ(abc.bytes, 3U);
    EXPECT_EQ(abc.sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    EXPECT_EQ(fingerprint_of_text("abc").sha256, abc.sha256);
    const FileFingerprint million = of(std::string(1000000, 'a'));
    EXPECT_EQ(million.bytes, 1000000U);
    EXPECT_EQ(million.sha256, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST(Fingerprint, LongerThanOneChunk) {
    const std::string whole(3U << 20U, 'x');
    EXPECT_EQ(of(whole).bytes, whole.size());
    EXPECT_NE(of(whole).sha256, of(whole.substr(1)).sha256);
}

TEST(Checksum, IsThatOfAFileOfTheSameBytes) {
    const std::string text = "abc";
    EXPECT_EQ(checksum(std::as_bytes(std::span(text))), of(text).sha256);
}

TEST(Fingerprint, MissingFile) {
    EXPECT_THROW(fingerprint("/no/such/file"), InputError);
}

}  // namespace
}  // namespace lielow
