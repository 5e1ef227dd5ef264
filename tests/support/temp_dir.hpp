// SPDX-License-Identifier: Apache-2.0
// A folder for one test, gone when the test ends; and what a call complains of.
#pragma once

#include <gtest/gtest.h>
#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>

namespace lielow::testing {

class TempDir {
  public:
    TempDir() {
        std::string name = (std::filesystem::temp_directory_path() / "lielow-test-XXXXXX").string();
        if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no folder for the test");
        path_ = name;
    }
    ~TempDir() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    TempDir(const TempDir&) = delete;
    TempDir& operator=(const TempDir&) = delete;

    [[nodiscard]] const std::filesystem::path& path() const { return path_; }
    std::filesystem::path operator/(const std::string& name) const { return path_ / name; }

  private:
    std::filesystem::path path_;
};

inline void write_text(const std::filesystem::path& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
}

inline std::string read_text(const std::filesystem::path& path) {
    std::ostringstream text;
    text << std::ifstream(path, std::ios::binary).rdbuf();
    return text.str();
}

/// The one line with which `call` ends in `Error`; a test failure and "" when it doesn't, or when the text is
/// not one line.
template <class Error, class Call>
std::string complaint(Call call) {
    try {
        call();
    } catch (const Error& error) {
        const std::string text = error.what();
        EXPECT_EQ(text.find('\n'), std::string::npos) << text;
        EXPECT_FALSE(text.empty());
        return text;
    } catch (const std::exception& error) {
        ADD_FAILURE() << "ended in another way: " << error.what();
        return "";
    }
    ADD_FAILURE() << "did not complain";
    return "";
}

/// True when `text` holds `part`, with both in the message when it doesn't.
inline ::testing::AssertionResult holds(const std::string& text, const std::string& part) {
    if (text.find(part) != std::string::npos) return ::testing::AssertionSuccess();
    return ::testing::AssertionFailure() << "\"" << part << "\" is not in: " << text;
}

}  // namespace lielow::testing
