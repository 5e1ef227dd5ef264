// SPDX-License-Identifier: Apache-2.0
// The demo site, carried inside the program so that `lielow example` works wherever it is copied to.
#pragma once

#include <string_view>
#include <vector>

namespace lielow {

struct ExampleFile {
    std::string_view name;
    std::string_view bytes;
};

/// The files of demo-dem/ as they were when the program was built.
std::vector<ExampleFile> example_files();

}  // namespace lielow
