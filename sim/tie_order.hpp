// SPDX-License-Identifier: Apache-2.0
// Which of equally high cells counts as the lower one, so that no answer hangs on how the raster is laid
// down.
//
// Elevations come in steps, of a centimetre or of a float's last bit, and the ground between two steps isn't
// level. Of equally high cells the one nearer to lower ground over level ground counts as lower (as water
// crosses flats; Barnes, Lehman & Mulla 2014, Computers & Geosciences 62:128-135); then the one whose
// surroundings lie lower, first those that touch it, then those 2, 4 and 8 cells away; and only last the one
// with the smaller number. All but the last turn with the raster. Any strict order that keeps elevations
// apart gives the same fill levels and full hollows (docs/hollows-and-fill.md), so this one decides only
// which way level ground drains and over which of equally high passes a full hollow runs over.
#pragma once

#include "sim/catchments.hpp"
#include "sim/grid.hpp"

namespace lielow {

/// Numbers, all different, that order as elevations do and equal elevations as above; they mean nothing else.
/// NaN where z is. One thread, time n log n, 20 bytes a cell while it works. At most 2 130 706 431 cells
/// (InputError beyond).
Field<float> order_ties(const Field<float>& z);

/// Catchments in that order, with their true heights. `order` is that of `z`.
Catchments find_catchments(const Grid& grid, const Field<float>& z, const Field<float>& order);

}  // namespace lielow
