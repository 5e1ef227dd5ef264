# SPDX-License-Identifier: Apache-2.0
"""Pictures of rasters of classes: names and colours are those that the raster itself carries."""
import textwrap

import matplotlib
import numpy as np
from matplotlib import colors
from osgeo import gdal


def classes_of(path):
    """Value, name and colour (0..1) of each class; names lie beside the raster in its .aux.xml."""
    source = gdal.Open(str(path))
    source.GetMetadata()  # GDAL 3.6 reads the file beside it only when it is asked for this
    band = source.GetRasterBand(1)
    names, table = band.GetCategoryNames() or [], band.GetColorTable()
    return [(value, name, tuple(c / 255 for c in table.GetColorEntry(value)[:3])) for value, name in enumerate(names) if name]


def bands(path, values):
    """Values as places among the classes that occur, class limits, colours, and the names from the first place on."""
    shown = [c for c in classes_of(path) if (values == c[0]).any()]
    places = np.full(values.shape, np.nan)
    for place, (value, _, _) in enumerate(shown):
        places[values == value] = place
    limits = np.arange(len(shown) + 1) - 0.5
    ramp = colors.ListedColormap([colour for _, _, colour in shown])
    return places, (limits, ramp, colors.BoundaryNorm(limits, len(shown))), [name for _, name, _ in shown]


def colour_bar(sheet, axes, look, names, limits, ramp, norm):
    """A swatch for each name, the first on top."""
    bar = sheet.colorbar(matplotlib.cm.ScalarMappable(norm=norm, cmap=ramp), cax=axes, ticks=limits)
    bar.set_ticks(range(len(names)), labels=["\n".join(textwrap.wrap(name, 11)) for name in names], minor=False)
    bar.ax.tick_params(which="both", length=0)
    bar.ax.invert_yaxis()
    if look.blank:
        bar.ax.annotate(f"grey: {look.blank}", xy=(0, 0), xytext=(0, -16), xycoords="axes fraction", textcoords="offset points")
