# SPDX-License-Identifier: Apache-2.0
"""Spots to look at next on a picture, from the sites.gpkg of a run. For picture.py."""
from matplotlib import patheffects
from matplotlib.transforms import Bbox
from picture_flow import features_of

KINDS = {"thermometer": ("^", "#ffd000"), "auger hole": ("o", "#40d0c0")}
SIDES = ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, 1), (1, -1), (-1, -1))  # of the mark, best first
ALIGNED = {-1: ("right", "top"), 0: ("center", "center"), 1: ("left", "bottom")}


def covered(box, others):
    """Share of a box that others cover, in its own areas."""
    parts = (Bbox.intersection(box, other) for other in others)
    return sum(part.width * part.height for part in parts if part is not None) / (box.width * box.height)


def put_aside(name, axes, taken):
    """Moves a name to that side of its mark where it covers least of the boxes `taken`, and stays on the map."""
    found = []
    for side, (x, y) in enumerate(SIDES):
        name.set(position=(7 * x, 7 * y), ha=ALIGNED[x][0], va=ALIGNED[y][1])
        box = name.get_window_extent()
        inside = covered(box, [axes.get_window_extent()])
        found.append((round(covered(box, taken) + 2 * (1 - inside), 3), side, box))
    _, side, box = min(found, key=lambda at: at[:2])
    x, y = SIDES[side]
    name.set(position=(7 * x, 7 * y), ha=ALIGNED[x][0], va=ALIGNED[y][1])
    taken.append(box)


def draw_test_spots(axes, sites, shown):
    """A mark with its name for each spot; `shown` is picture.py's Map."""
    told = set()
    halo = [patheffects.withStroke(linewidth=2.6, foreground="white")]
    spots = [(values["name"], values["kind"], (point.GetX(), point.GetY()))
             for values, point in features_of(sites, "test_spots", shown.crs)]
    taken = [text.get_window_extent() for text in axes.texts if text.get_text()]
    for _, kind, at in spots:
        marker, colour = KINDS[kind]
        axes.plot(*at, marker=marker, markersize=8, color=colour, markeredgecolor="black", linestyle="none", zorder=6,
                  label=None if kind in told else f"spot for {kind}s")
        told.add(kind)
        x, y = axes.transData.transform(at)
        half = 4 * axes.figure.dpi / 72
        taken.append(Bbox([[x - half, y - half], [x + half, y + half]]))
    for text, _, at in spots:
        name = axes.annotate(text, xy=at, xytext=(0, 0), textcoords="offset points", fontsize=9, fontweight="bold",
                             path_effects=halo, zorder=7)
        put_aside(name, axes, taken)
