# SPDX-License-Identifier: Apache-2.0
"""Drainage ways, and hollows with the places where they spill, on a picture, from the sites.gpkg of a run. For picture.py.

`shown` is picture.py's Map: its CRS is used.
"""
import numpy as np
from matplotlib import patheffects
from picture_flow import features_of

WAY_COLOUR, CASING = "#0b3c8c", "white"


def rings_of(shape):
    """The corners of every ring of a polygon or of several."""
    if shape.GetGeometryName() == "LINEARRING":
        return [np.array(shape.GetPoints())[:, :2]]
    return [ring for k in range(shape.GetGeometryCount()) for ring in rings_of(shape.GetGeometryRef(k))]


def draw_ways(axes, sites, shown):
    """Lines along which water gathers, the broader the more streams have met."""
    label = "drainage way"
    for values, line in features_of(sites, "drainage_ways", shown.crs):
        corners = np.array(line.GetPoints())[:, :2]
        width = 0.9 + 0.6 * (values["stream_order"] - 1)
        axes.plot(*corners.T, color=WAY_COLOUR, linewidth=width, zorder=2.2, solid_capstyle="round", label=label,
                  path_effects=[patheffects.withStroke(linewidth=width + 1.2, foreground=CASING)])
        label = None  # once in the legend


def draw_hollows(axes, sites, shown):
    """Edges of the closed hollows that can be told apart, filled to where they spill, and a mark there."""
    smallest = (0.012 * (shown.extent[1] - shown.extent[0])) ** 2
    label = "edge of a full hollow"
    drawn = set()
    for values, shape in features_of(sites, "hollows", shown.crs):
        if shape.GetArea() < smallest:
            continue
        drawn.add(values["hollow"])
        for ring in rings_of(shape):
            axes.plot(*ring.T, color="black", linewidth=0.8, linestyle=(0, (4, 2)), zorder=2.3, label=label)
            label = None
    spills = [(point.GetX(), point.GetY()) for values, point in features_of(sites, "hollow_spills", shown.crs)
              if values["hollow"] in drawn]
    if spills:
        axes.plot(*np.array(spills).T, marker="v", markersize=6, color="#ffd000", markeredgecolor="black", linestyle="none",
                  zorder=2.4, label="where it spills")
