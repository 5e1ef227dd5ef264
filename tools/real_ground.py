#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Turns two elevation grids that Debian packages ship into GeoTIFFs with a site file each, to try the program on.

Usage: real_ground.py FOLDER
Makes FOLDER/jacksboro/ (the ridges about Jacksboro, Tennessee, 3 arc seconds, geographic), FOLDER/jacksboro_utm/ (the
same, warped to 90 m) and FOLDER/volcano/ (Maunga Whau, Auckland, 10 m). Nothing of them is kept in the project: the
first comes from python-matplotlib-data, the second from r-base-core, fetched with apt-get where it isn't installed.
"""
import gzip
import lzma
import pathlib
import re
import struct
import subprocess
import sys
import tempfile

import numpy as np
from osgeo import gdal, osr

SITE = """title = "{title}"
units = "si"
[ground]
dem = "dem.tif"
[night]
date = 2026-04-18
evening_air = "9 degC"
cell = "{cell}"
[water]
stage = "{stage}"
"""


class Unreachable(Exception):
    """A package that is neither installed nor to be had."""


def shipped_file(package, path):
    """A file of a Debian package: the installed one, or its bytes out of the package fetched for the purpose."""
    installed = pathlib.Path("/") / path
    if installed.exists():
        return installed.read_bytes()
    with tempfile.TemporaryDirectory() as folder:
        pathlib.Path(folder).chmod(0o755)
        fetch = subprocess.run(["apt-get", "download", "-q", "-o", "APT::Sandbox::User=root", package], cwd=folder,
                               capture_output=True, text=True, check=False)
        archives = list(pathlib.Path(folder).glob("*.deb"))
        if fetch.returncode or not archives:
            raise Unreachable(f"{package} is not installed and cannot be fetched: {fetch.stderr.strip()}")
        subprocess.run(["dpkg", "-x", archives[0], folder], check=True)
        return (pathlib.Path(folder) / path).read_bytes()


def write_dem(path, z, crs, origin, cell):
    """`z` in metres, first row north; origin = west, north edge."""
    system = osr.SpatialReference()
    system.SetFromUserInput(crs)
    kind = gdal.GDT_Int16 if z.dtype == np.int16 else gdal.GDT_Float32
    dem = gdal.GetDriverByName("GTiff").Create(str(path), z.shape[1], z.shape[0], 1, kind, ["COMPRESS=DEFLATE"])
    dem.SetGeoTransform((origin[0], cell, 0, origin[1], 0, -cell))
    dem.SetProjection(system.ExportToWkt())
    dem.GetRasterBand(1).SetUnitType("m")
    dem.GetRasterBand(1).WriteArray(z)


def site_folder(folder, title, stage, cell):
    """`cell`: of the night, coarse enough for a try to take seconds."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "site.toml").write_text(SITE.format(title=title, stage=stage, cell=cell), encoding="utf-8")
    return folder / "dem.tif"


def make_jacksboro(folder):
    """The stored latitudes are one tile height too high: ymax (the smaller) is the tile's north edge, not its south.

    Seen from places whose elevations are known: the town's airport (36.335 N, 84.162 W) lies in the valley only then.
    """
    with tempfile.NamedTemporaryFile(suffix=".npz") as copy:
        copy.write(shipped_file("python-matplotlib-data",
                                "usr/share/matplotlib/mpl-data/sample_data/jacksboro_fault_dem.npz"))
        copy.flush()
        stored = np.load(copy.name)
        z, cell, west, north = stored["elevation"], float(stored["dx"]), float(stored["xmin"]), float(stored["ymax"])
    dem = site_folder(folder / "jacksboro", "Ridges about Jacksboro", "30 m", "250 m")
    write_dem(dem, z, "EPSG:4326", (west, north), cell)
    warped = site_folder(folder / "jacksboro_utm", "Ridges about Jacksboro, UTM", "30 m", "250 m")
    gdal.Warp(str(warped), str(dem), dstSRS="EPSG:32616", xRes=90, yRes=90, resampleAlg="bilinear", dstNodata=-9999,
              outputType=gdal.GDT_Float32)
    file = gdal.Open(str(warped), gdal.GA_Update)
    file.GetRasterBand(1).SetUnitType("m")


def r_dataset(values, package="r-base-core", folder="usr/lib/R/library/datasets/data"):
    """The doubles of the one dataset of that many numbers, out of R's lazy-load store.

    Rdata.rdx (gzip) holds, in R's serialisation, an (offset, length) pair of integers for each dataset; each piece of
    Rdata.rdb is its size, the letter Z and a raw LZMA2 stream ("R Internals", section on lazy loading).
    """
    index = gzip.decompress(shipped_file(package, f"{folder}/Rdata.rdx"))
    store = shipped_file(package, f"{folder}/Rdata.rdb")
    vector = struct.pack(">I", values)
    for pair in re.finditer(rb"\0\0\0\x0d\0\0\0\x02(.{8})", index, re.DOTALL):
        offset, length = struct.unpack(">II", pair[1])
        piece = store[offset:offset + length]
        if piece[4:5] != b"Z":
            continue
        raw = lzma.decompress(piece[5:], lzma.FORMAT_RAW, filters=[{"id": lzma.FILTER_LZMA2, "preset": 6}])
        start = raw.find(vector, 0, 64)
        if start >= 0:
            return np.frombuffer(raw, ">f8", values, start + 4)
    raise RuntimeError(f"no dataset of {values} numbers in {package}'s {folder}")


def make_volcano(folder):
    """`volcano` is 87 x 61 at 10 m, stored by columns. Its place on the map is only about right; nothing needs it."""
    z = r_dataset(87 * 61).reshape(61, 87).T.astype(np.float32)
    dem = site_folder(folder / "volcano", "Maunga Whau", "20 m", "10 m")
    write_dem(dem, np.ascontiguousarray(z), "EPSG:2193", (1756800.0, 5917600.0), 10.0)


def make_all(folder):
    """Makes what can be made; returns the sites' folders and one line for each ground that couldn't be had."""
    gdal.UseExceptions()
    osr.UseExceptions()
    made, lacking = [], []
    for names, make in ((("jacksboro", "jacksboro_utm"), make_jacksboro), (("volcano",), make_volcano)):
        try:
            make(folder)
            made += [folder / name for name in names]
        except Unreachable as why:
            lacking.append(f"{names[0]}: {why}")
    return made, lacking


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    done, left_out = make_all(pathlib.Path(sys.argv[1]))
    print("\n".join([str(site / "site.toml") for site in done] + left_out))
