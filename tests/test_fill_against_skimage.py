# SPDX-License-Identifier: Apache-2.0
"""Filled ground against scikit-image's morphological reconstruction by erosion, value for value.

Reconstruction (Vincent 1993; Robinson & Whelan 2004 in scikit-image) of a surface that is high inside and equal to the
ground on its drains is the same minimax over paths as filling, by a wholly different method.

Usage: test_fill_against_skimage.py FLOOD_RAW   (the helper program of tests/support/flood_raw.cpp)
"""

import pathlib
import subprocess
import sys
import tempfile

import numpy as np
from skimage.morphology import reconstruction

GROUNDS = [
    ("fractal", 400, 530, 1),
    ("noise", 330, 290, 2),
    ("quantised", 410, 300, 3),
    ("holed", 300, 340, 4),
    ("flat", 50, 60, 5),
    ("bowl", 120, 90, 6),
]


def drains(z):
    """Cells on the raster's edge or beside a cell without a value."""
    padded = np.pad(np.isnan(z), 1, constant_values=True)
    rows, cols = z.shape
    beside = np.zeros(z.shape, bool)
    for down in range(3):
        for across in range(3):
            beside |= padded[down : down + rows, across : across + cols]
    return beside & ~np.isnan(z)


def reference_fill(z):
    """Cells without a value become walls: their rim is a drain already, so no way leads through them."""
    known = ~np.isnan(z)
    wall = np.float32(z[known].max() + 1)
    mask = np.where(known, z, wall)
    seed = np.where(drains(z), mask, wall)
    return np.where(known, reconstruction(seed, mask, method="erosion").astype(np.float32), np.float32(np.nan))


def main():
    flood_raw = sys.argv[1]
    failures = 0
    with tempfile.TemporaryDirectory() as place:
        ground, filled = (str(pathlib.Path(place) / name) for name in ("ground.raw", "filled.raw"))
        for kind, rows, cols, seed in GROUNDS:
            subprocess.run([flood_raw, "make", kind, str(rows), str(cols), str(seed), ground], check=True)
            subprocess.run([flood_raw, "fill", ground, str(rows), str(cols), filled], check=True)
            z = np.fromfile(ground, np.float32).reshape(rows, cols)
            ours = np.fromfile(filled, np.float32).reshape(rows, cols)
            same = np.array_equal(ours, reference_fill(z), equal_nan=True)
            raised = int(np.count_nonzero(ours > z))
            print(f"{kind:10s} {rows} x {cols}: {'equal' if same else 'DIFFERENT'}, {raised} cells filled")
            failures += not same or (raised == 0 and kind != "flat")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
