# SPDX-License-Identifier: Apache-2.0
"""For picture.py: how each raster is shown, from looks.toml beside this file, and the colours of its classes."""
import dataclasses
import pathlib
import tomllib

import matplotlib
import numpy as np
from matplotlib import colors, ticker

TABLE = tomllib.loads(pathlib.Path(__file__).with_name("looks.toml").read_text(encoding="utf-8"))
UNITS = ("us", "si")


@dataclasses.dataclass(frozen=True)
class Look:
    """One table of looks.toml, whose head says what each key means."""
    title: str = ""
    label: str = "value"
    quantity: str = "number"
    blank: str = ""
    ramp: str = "viridis"
    reversed: bool = False
    limits: tuple = ()
    limits_si: tuple = ()
    from_zero: bool = False
    both_ways: bool = False
    least: float = 0
    step: float = 0
    by_factors: bool = False
    groups: tuple = ()
    overlays: tuple = ()
    like: str = ""

    def limits_in(self, units):
        return self.limits_si or self.limits if units == "si" else self.limits

    def drawn(self, values):
        """NaN where nothing is drawn; values as the raster has them."""
        blank_to = max(self.least, self.step / 2)
        if self.both_ways:
            return np.where(np.abs(values) <= blank_to, np.nan, values)
        return np.where(values <= blank_to, np.nan, values) if self.from_zero else values

    def legend(self, unit):
        text = f"{self.label} ({unit})" if unit and self.quantity != "direction" else self.label
        return f"{text}; grey: {self.blank}" if self.blank else text


def table_of(name):
    table = TABLE["looks"][name]
    return {**table_of(table["like"]), **table} if "like" in table else table


LOOKS = {name: Look(**table_of(name)) for name in TABLE["looks"]}


def look_of(name):
    """The look of a raster, a plain one for any that has none; hours_below_32_degf is one of hours_below."""
    if name.startswith("hours_below_"):
        number, unit = name.removeprefix("hours_below_").rsplit("_deg", 1)
        threshold = f"{number.replace('minus_', '−').replace('_', '.')} °{unit.upper()}"
        look = LOOKS["hours_below"]
        words = {key: getattr(look, key).replace("{threshold}", threshold) for key in ("title", "label")}
        return dataclasses.replace(look, **words)
    return LOOKS.get(name, Look())


def unit_of(look, units):
    """(scale, offset, name) from the raster's unit to the reader's."""
    name, size, zero = TABLE["units"][look.quantity][units]
    return 1 / size, -zero / size, name


def stops_of(ramp):
    """Red, green and blue, 0..1, from one end to the other."""
    return np.array([colors.to_rgb(stop) for stop in TABLE["ramps"][ramp]["colours"]])


def along(stops, shares):
    places = np.linspace(0, 1, len(stops))
    return np.stack([np.interp(shares, places, stops[:, c]) for c in range(3)], axis=-1)


def lightness(rgb):
    """CIE 1976 L* of sRGB colours (IEC 61966-2-1, CIE 15)."""
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    y = linear @ (0.2126, 0.7152, 0.0722)
    return np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, y * 24389 / 27)


def class_colours(look, count):
    """As tools/ramps.cpp: even steps of lightness on a sequential ramp, else even steps along it or its even parts' middles."""
    kind, stops = TABLE["ramps"][look.ramp]["kind"], stops_of(look.ramp)
    stops = stops[::-1] if look.reversed else stops
    if count == 1:
        return along(stops, [0.5])
    if kind == "cyclic":
        return along(stops, (np.arange(count) + 0.5) / count)
    if kind == "diverging":
        return along(stops, np.linspace(0, 1, count))
    fine = np.linspace(0, 1, 2001)
    light = lightness(along(stops, fine))
    rising = 1 if light[-1] > light[0] else -1
    return along(stops, np.interp(np.linspace(light[0], light[-1], count) * rising, light * rising, fine))


def round_limits(values, from_zero):
    """About ten round class limits that hold all but the outermost values."""
    low, high = np.nanpercentile(values, [0.5, 99.5]) if np.isfinite(values).any() else (0, 1)
    if from_zero:
        low = 0.0
    if high - low < 1e-6:
        low, high = low - 0.5, high + 0.5
    return ticker.MaxNLocator(nbins=9, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)


def bands(values, look, units):
    """Class limits, the look's own or round ones, the colours between, and which values they belong to."""
    limits = np.array(look.limits_in(units)) if look.limits else round_limits(values, look.from_zero)
    shades = class_colours(look, len(limits) - 1)
    ramp = colors.ListedColormap(shades).with_extremes(under=shades[0], over=shades[-1])
    return limits, ramp, colors.BoundaryNorm(limits, len(shades))


def colour_bar(sheet, axes, look, unit, values, limits, ramp, norm):
    """The colours with their limits; pointed where values lie beyond."""
    beyond = int(np.nanmin(values, initial=limits[0]) < limits[0]), int(np.nanmax(values, initial=limits[-1]) > limits[-1])
    extend = {(0, 0): "neither", (1, 0): "min", (0, 1): "max", (1, 1): "both"}[beyond]
    bar = sheet.colorbar(matplotlib.cm.ScalarMappable(norm=norm, cmap=ramp), cax=axes, ticks=limits, format="%g",
                         extend=extend, spacing="uniform" if look.limits else "proportional", label=look.legend(unit))
    if look.quantity == "direction":
        bar.set_ticks(np.arange(0, 361, 45), labels=["N", "NE", "E", "SE", "S", "SW", "W", "NW", "N"], minor=False)
