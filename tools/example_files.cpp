// SPDX-License-Identifier: Apache-2.0
#include "tools/example_files.hpp"

#include "example_labels.inc"

namespace lielow {
namespace {

struct Row {
    const char* name;
    const char* begin;
    const char* end;
};

}  // namespace

std::vector<ExampleFile> example_files() {
    const std::vector<Row> rows{
#include "example_rows.inc"
    };
    std::vector<ExampleFile> files;
    for (const Row& row : rows)
        files.push_back(
            {row.name, std::string_view(row.begin, static_cast<std::size_t>(row.end - row.begin))});
    return files;
}

}  // namespace lielow
