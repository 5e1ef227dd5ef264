// SPDX-License-Identifier: Apache-2.0
// A site file written, read, or refused.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <string_view>

#include "io/site.hpp"
#include "sim/errors.hpp"
#include "support/temp_dir.hpp"

namespace lielow::testing {

class SiteFile : public ::testing::Test {
  protected:
    Site read(const std::string& text) {
        write_text(folder_ / "site.toml", text);
        return read_site(folder_ / "site.toml");
    }
    /// The message, from "site.toml" on.
    std::string refusal(const std::string& text) {
        try {
            read(text);
            return "accepted";
        } catch (const InputError& error) {
            return message_of(error);
        }
    }
    std::string message_of(const InputError& error) {
        std::string message = error.what();
        EXPECT_EQ(message.find('\n'), std::string::npos) << message;
        const std::string here = folder_.path().string() + "/";
        for (auto at = message.find(here); at != std::string::npos; at = message.find(here))
            message.erase(at, here.size());
        return message;
    }

    TempDir folder_;
};

inline const std::string ground = "[ground]\ndem = \"dem.tif\"\n";

inline const SiteSetting& setting(const Site& site, std::string_view key) {
    return *std::find_if(site.settings.begin(), site.settings.end(),
                         [&](const auto& s) { return s.key == key; });
}

}  // namespace lielow::testing
