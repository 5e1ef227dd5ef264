// SPDX-License-Identifier: Apache-2.0
// Tables on stdout.
#pragma once

#include <string>
#include <vector>

namespace lielow {

/// Rows of cells. A row may not be longer than `head`. The first column is flush left; so are the others
/// unless they are numbers. A head may have several lines; the shorter ones stand at the bottom.
struct TextTable {
    std::vector<std::string> head;
    std::vector<std::vector<std::string>> rows;
    bool numbers = true;
};

/// As lines, columns two blanks apart, a rule below the head.
std::string to_text(const TextTable& table);

}  // namespace lielow
