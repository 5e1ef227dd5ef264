// SPDX-License-Identifier: Apache-2.0
// The report's page as tools/report/ makes it at build time, carried inside the program.
#pragma once

#include <string_view>

namespace lielow {

struct ReportBundle {
    std::string_view page;      ///< the body's template
    std::string_view style;     ///< CSS
    std::string_view script;    ///< JavaScript, the libraries in it
    std::string_view licences;  ///< of the libraries, plain text
};

ReportBundle report_bundle();

}  // namespace lielow
