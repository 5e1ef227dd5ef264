// SPDX-License-Identifier: Apache-2.0
#include "tools/text_table.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace lielow {
namespace {

/// Characters, not bytes: °F is two wide.
std::size_t width_of(const std::string& text) {
    return static_cast<std::size_t>(std::count_if(
        text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

std::string line_of(const std::vector<std::string>& cells, const std::vector<std::size_t>& widths,
                    bool numbers) {
    std::string line;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const std::string blanks(widths[i] - width_of(cells[i]), ' ');
        line += i == 0 ? "" : "  ";
        line += numbers && i > 0 ? blanks + cells[i] : cells[i] + blanks;
    }
    line.erase(line.find_last_not_of(' ') + 1);
    return line + "\n";
}

}  // namespace

std::string to_text(const TextTable& table) {
    std::vector<std::size_t> widths(table.head.size(), 0);
    const auto widen = [&](const std::vector<std::string>& cells) {
        for (std::size_t i = 0; i < cells.size(); ++i)
            widths.at(i) = std::max(widths.at(i), width_of(cells[i]));
    };
    widen(table.head);
    for (const auto& row : table.rows) widen(row);
    std::vector<std::string> rule;
    for (const std::size_t width : widths) rule.emplace_back(width, '-');
    std::string text = line_of(table.head, widths, table.numbers) + line_of(rule, widths, table.numbers);
    for (const auto& row : table.rows) text += line_of(row, widths, table.numbers);
    return text;
}

}  // namespace lielow
