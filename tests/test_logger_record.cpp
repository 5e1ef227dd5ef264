// SPDX-License-Identifier: Apache-2.0
#include "io/logger_record.hpp"

#include <gtest/gtest.h>
