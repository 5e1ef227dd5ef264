# SPDX-License-Identifier: Apache-2.0
"""Spots to look at next on a picture, from the sites.gpkg of a run. For picture.py."""
from matplotlib import patheffects
from picture_flow import features_of

KINDS = {"thermometer": ("^", "#ffd000"), "auger hole": ("o", "#40d0c0")}


def draw_test_spots(axes, sites, shown):
    """A mark with its name for each spot; `shown` is picture.py's Map."""
    told = set()
    halo = [patheffects.withStroke(linewidth=2.6, foreground="white")]
    for values, point in features_of(sites, "test_spots", shown.crs):
        kind = values["kind"]
        marker, colour = KINDS[kind]
        axes.plot(point.GetX(), point.GetY(), marker=marker, markersize=8, color=colour, markeredgecolor="black",
                  linestyle="none", zorder=6, label=None if kind in told else f"spot for {kind}s")
        told.add(kind)
        axes.annotate(values["name"], xy=(point.GetX(), point.GetY()), xytext=(6, 4), textcoords="offset points",
                      fontsize=9, fontweight="bold", path_effects=halo, zorder=7)
