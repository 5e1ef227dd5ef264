#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Runs the night of a site and plots its archive: where cold air lies at sunrise, and three places through the night.

Usage: plot_night.py SITE.toml PICTURE.png     Needs the Python module lielow, xarray with h5netcdf, and matplotlib.
"""
import sys
import tempfile

import lielow
import matplotlib
import xarray

matplotlib.use("Agg")
from matplotlib import pyplot  # noqa: E402


def main():
    site, picture = sys.argv[1:]
    with tempfile.TemporaryDirectory() as out:
        lielow.run(site, out, only=["night"])
        night = xarray.open_dataset(f"{out}/archive.nc", engine="h5netcdf", decode_coords="all").load()
    air = night["air_temperature"] - 273.15
    last = air.isel(time=-1)
    figure, (map_, hours) = pyplot.subplots(1, 2, figsize=(11, 4.5), layout="constrained")
    last.plot(ax=map_, cmap="cividis", cbar_kwargs={"label": "air temperature at sunrise, °C"})
    map_.set_aspect("equal")
    map_.set_title("Where the cold air lies")
    for place, name in ((last.argmin(("y", "x")), "coldest place"), (last.argmax(("y", "x")), "warmest place")):
        hours.plot(air.time, air.isel({axis: int(cell) for axis, cell in place.items()}), label=name)
    hours.plot(air.time, air.mean(("y", "x")), "k--", label="mean")
    hours.set_ylabel("air temperature, °C")
    hours.tick_params(axis="x", rotation=30)
    hours.legend()
    figure.savefig(picture, dpi=110)


if __name__ == "__main__":
    main()
