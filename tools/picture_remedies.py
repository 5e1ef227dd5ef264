# SPDX-License-Identifier: Apache-2.0
"""For picture.py: where the site file's remedies lie, drawn over a map of what one of them changes."""
from matplotlib import patheffects

POINTS = ("gap", "fan")


def folder_name(name):
    """As lielow compare names a remedy's folder."""
    plain = "".join(c.lower() if c.isascii() and c.isalnum() else "-" for c in name)
    return "-".join(part for part in plain.split("-") if part)


def draw_remedies(axes, site, folder):
    """Those of the remedy whose folder it is; of all of them for `together`. Shapes in files are left out."""
    halo = [patheffects.withStroke(linewidth=4, foreground="white")]
    told = set()
    for name, remedy in site.get("remedy", {}).items():
        if "at" not in remedy or folder not in ("together", folder_name(name)):
            continue
        corners = [[float(n) for n in place.split(",")] for place in remedy["at"].split(";") if place.strip()]
        kind = remedy["kind"]
        style = dict(marker="D", markersize=8, linestyle="none") if kind in POINTS else dict(linewidth=2.4, linestyle="--")
        axes.plot(*zip(*corners), color="black", zorder=6, path_effects=halo,
                  label=None if kind in told else f"{kind} (remedy)", **style)
        told.add(kind)
