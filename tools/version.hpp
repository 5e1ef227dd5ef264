// SPDX-License-Identifier: Apache-2.0
// Which lielow this is.
#pragma once

#include <string>

namespace lielow {

/// "0.1.0", with the git commit it was built from where that is known: "0.1.0 (1a2b3c4)"; "+" when the tree
/// had changes.
std::string version();

/// That and the versions of the libraries results depend on, a line each.
std::string version_report();

}  // namespace lielow
