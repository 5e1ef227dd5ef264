// SPDX-License-Identifier: Apache-2.0
// The copies of the sweeps, one per instruction set (private to sim/).
#pragma once

#include "sim/stack_sweep.hpp"

namespace lielow {

namespace sweep_base {
SweepFunctions<float> single_precision();
SweepFunctions<double> double_precision();
}  // namespace sweep_base
namespace sweep_avx2 {
SweepFunctions<float> single_precision();
SweepFunctions<double> double_precision();
}  // namespace sweep_avx2
namespace sweep_avx512 {
SweepFunctions<float> single_precision();
SweepFunctions<double> double_precision();
}  // namespace sweep_avx512

}  // namespace lielow
