// SPDX-License-Identifier: Apache-2.0
// Times of records, as ISO 8601 writes them.
#pragma once

#include <chrono>
#include <string>

namespace lielow {

/// Seconds after 00:00 UTC of `date`. "2026-04-18T19:00", a blank for the T, with seconds, and with Z or an
/// offset such as -05:00, if wished; without them it is local clock time, `utc_offset_s` ahead of UTC. Throws
/// InputError without what the time is: "is no time in ISO 8601; …".
double iso_seconds(const std::string& text, std::chrono::year_month_day date, double utc_offset_s);

}  // namespace lielow
