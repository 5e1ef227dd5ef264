// SPDX-License-Identifier: Apache-2.0
#include "tools/report_bundle.hpp"

// As report_bundle.S has them.
extern "C" {
extern const char lielow_report_page[];
extern const char lielow_report_page_end[];
extern const char lielow_report_style[];
extern const char lielow_report_style_end[];
extern const char lielow_report_script[];
extern const char lielow_report_script_end[];
extern const char lielow_report_licences[];
extern const char lielow_report_licences_end[];
}

namespace lielow {
namespace {

std::string_view between(const char* begin, const char* end) {
    return {begin, static_cast<std::size_t>(end - begin)};
}

}  // namespace

ReportBundle report_bundle() {
    return {between(lielow_report_page, lielow_report_page_end),
            between(lielow_report_style, lielow_report_style_end),
            between(lielow_report_script, lielow_report_script_end),
            between(lielow_report_licences, lielow_report_licences_end)};
}

}  // namespace lielow
