#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""How long `lielow wide` takes on a made-up ground larger than memory, and how much memory it holds.

Usage: measure_tiles.py LIELOW CELLS_A_SIDE MEMORY FOLDER [--north METRES] [further arguments of lielow wide]
Writes FOLDER/ground.tif piece by piece (4 bytes a cell), then runs. No test: it measures. --north sets the ground's
northing: at 7280000 the night of midsummer lasts three quarters of an hour.
"""
import pathlib
import resource
import subprocess
import sys
import time

import numpy
from osgeo import gdal, osr

gdal.UseExceptions()
PIECE = 1024


def write_ground(path, side, north=4400000):
    """Hills, closed hollows of many sizes, roughness, a lake across many tiles and a strip without heights."""
    raster = gdal.GetDriverByName("GTiff").Create(
        str(path), side, side, 1, gdal.GDT_Float32, ["TILED=YES", "SPARSE_OK=TRUE", "BIGTIFF=IF_SAFER"])
    raster.SetGeoTransform([500000, 2, 0, north, 0, -2])
    system = osr.SpatialReference()
    system.ImportFromEPSG(26917)
    raster.SetProjection(system.ExportToWkt())
    band = raster.GetRasterBand(1)
    band.SetUnitType("m")
    band.SetNoDataValue(-9999)
    for top in range(0, side, PIECE):
        for left in range(0, side, PIECE):
            y, x = numpy.mgrid[top:min(top + PIECE, side), left:min(left + PIECE, side)].astype("float32")
            random = numpy.random.default_rng(top * side + left)
            z = (300 + 40 * numpy.sin(x / 1900) * numpy.cos(y / 2300) + 6 * numpy.sin(x / 71 + y / 190)
                 + numpy.sin(x / 13) * numpy.cos(y / 17) + 0.002 * x + 0.02 * random.random(x.shape, "float32"))
            z = numpy.maximum(z, 262).astype("float32")
            z[(x > 0.7 * side) & (x < 0.7 * side + 40) & (y > 0.5 * side)] = -9999
            band.WriteArray(z, left, top)


def main():
    program, side, memory, folder = sys.argv[1], int(sys.argv[2]), sys.argv[3], pathlib.Path(sys.argv[4])
    further = sys.argv[5:]
    north = 4400000
    if further[:1] == ["--north"]:
        north, further = float(further[1]), further[2:]
    folder.mkdir(parents=True, exist_ok=True)
    ground = folder / "ground.tif"
    if not ground.exists():
        write_ground(ground, side, north)
    start = time.monotonic()
    subprocess.run([program, "wide", str(ground), "--memory", memory, "--out", str(folder / "out"), *further],
                   check=True)
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024
    print(f"{side * side / 1e6:.1f} million cells, --memory {memory}: {time.monotonic() - start:.0f} s, "
          f"at most {peak / 1e6:.0f} MB")


if __name__ == "__main__":
    main()
