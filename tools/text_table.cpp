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

/// The heads line by line, from the top.
std::vector<std::vector<std::string>> head_lines(const std::vector<std::string>& head) {
    const auto breaks = [](const std::string& text) { return std::count(text.begin(), text.end(), '\n'); };
    std::size_t most = 0;
    for (const std::string& text : head) most = std::max(most, static_cast<std::size_t>(breaks(text)));
    std::vector<std::vector<std::string>> lines(most + 1, std::vector<std::string>(head.size()));
    for (std::size_t column = 0; column < head.size(); ++column) {
        std::size_t line = most - static_cast<std::size_t>(breaks(head[column]));
        for (const char c : head[column]) {
            if (c == '\n') {
                ++line;
            } else {
                lines[line][column] += c;
            }
        }
    }
    return lines;
}

}  // namespace

std::string to_text(const TextTable& table) {
    std::vector<std::size_t> widths(table.head.size(), 0);
    const auto widen = [&](const std::vector<std::string>& cells) {
        for (std::size_t i = 0; i < cells.size(); ++i)
            widths.at(i) = std::max(widths.at(i), width_of(cells[i]));
    };
    const auto heads = head_lines(table.head);
    for (const auto& line : heads) widen(line);
    for (const auto& row : table.rows) widen(row);
    std::vector<std::string> rule;
    for (const std::size_t width : widths) rule.emplace_back(width, '-');
    std::string text;
    for (const auto& line : heads) text += line_of(line, widths, table.numbers);
    text += line_of(rule, widths, table.numbers);
    for (const auto& row : table.rows) text += line_of(row, widths, table.numbers);
    return text;
}

}  // namespace lielow
