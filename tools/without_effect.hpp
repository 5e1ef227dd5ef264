// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/site.hpp"

namespace lielow {

/// One line on stderr naming the keys the site file sets that this version doesn't use yet; nothing when
/// there are none. Not silenced by --quiet, which is about progress.
void tell_keys_without_effect(const Site& site);

}  // namespace lielow
