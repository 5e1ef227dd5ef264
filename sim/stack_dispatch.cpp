// SPDX-License-Identifier: Apache-2.0
#include "sim/stack_sweep_sets.hpp"

namespace lielow {

template <>
SweepFunctions<float> sweep_functions<float>() {
#ifdef LIELOW_X86_SETS
    if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512vl") &&
        __builtin_cpu_supports("avx512dq")) {
        return sweep_avx512::single_precision();
    }
    if (__builtin_cpu_supports("avx2")) return sweep_avx2::single_precision();
#endif
    return sweep_base::single_precision();
}

template <>
SweepFunctions<double> sweep_functions<double>() {
#ifdef LIELOW_X86_SETS
    if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512vl") &&
        __builtin_cpu_supports("avx512dq")) {
        return sweep_avx512::double_precision();
    }
    if (__builtin_cpu_supports("avx2")) return sweep_avx2::double_precision();
#endif
    return sweep_base::double_precision();
}

}  // namespace lielow
