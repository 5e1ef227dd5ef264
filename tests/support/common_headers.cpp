// SPDX-License-Identifier: Apache-2.0
// Carries the precompiled headers of the tests; empty by intent.
