// SPDX-License-Identifier: Apache-2.0
// A site file put together from a shared one and the values that a row of a list sets beside it.
#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace lielow {

/// A value that a list gives: a site key by its dotted name, and the text as it stands in the list.
struct RowValue {
    std::string key;     ///< "water.stage"
    std::string text;    ///< "20 ft": never in quotes, whatever the key's kind
    std::string column;  ///< the column's name, for messages
};

/// A file that the site names.
struct SitePath {
    std::string key;
    std::string written;         ///< in the composed text: relative to its folder, unless it was absolute
    std::filesystem::path file;  ///< how the person's own words reach it from the current folder
};

struct ComposedSite {
    std::string text;  ///< TOML
    std::vector<SitePath> paths;
};

struct SiteParts {
    std::filesystem::path base;         ///< the shared site file; empty = none
    std::vector<RowValue> values;       ///< win over the base
    std::filesystem::path list_folder;  ///< relative paths in `values` hang from here
    std::string title;                  ///< set unless `values` (or the base, with `keep_base_title`) has one
    bool keep_base_title = false;
    std::filesystem::path home;  ///< folder in which the composed file will lie
};

/// Throws InputError when a site file knows no such key, naming the nearest; `also` are other names the list
/// may use.
void require_site_key(std::string_view name, std::span<const std::string_view> also);

/// Judges the base and each value and puts them together. Throws InputError in one line: what read_site()
/// says of the base, or the column, what is wrong and what to write.
ComposedSite compose_site(const SiteParts& parts);

}  // namespace lielow
