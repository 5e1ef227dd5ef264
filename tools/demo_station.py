# SPDX-License-Identifier: Apache-2.0
"""The invented thermometer record of demo-dem/: daily highs and lows of 25 springs, from fixed numbers."""
import datetime

import numpy as np

import demo_ground

YEARS = range(2001, 2026)
FIRST, LAST = (1, 1), (6, 30)  # month and day; frost after June and in autumn is not asked for
GAPS = {  # days without a reading: one long gap that costs a spring, some single days, one failed high
    "both": [(datetime.date(2009, 4, 14), 12), (datetime.date(2013, 3, 2), 5), (datetime.date(2017, 5, 1), 1),
             (datetime.date(2022, 4, 20), 1)],
    "high": [(datetime.date(2004, 4, 22), 2)],
}


def bell(day, seed):
    """A fixed pseudo-random number for each day, near normal (sum of four even ones), deviation 1."""
    return sum(demo_ground.lattice(day, np.full_like(day, k), seed) for k in range(4)) * (3 / 4) ** 0.5


def weather(days):
    """High and low of each day, °F: a season, warm and cold spells, clear and cloudy days."""
    number = np.array([d.toordinal() for d in days])
    season = np.array([(d - datetime.date(d.year, 1, 20)).days for d in days]) / 365.25
    mean = 53.0 - 23.0 * np.cos(2 * np.pi * season)
    # Spells: each day remembers 0.7 of the day before, cut off after twelve days.
    spell = sum(0.7**k * bell(number - k, 41) for k in range(12)) * (1 - 0.7**2) ** 0.5
    mean = mean + 6.3 * spell
    daily_range = np.clip(21.0 + 7.0 * bell(number, 42), 5, 40)
    return np.rint(mean + 0.5 * daily_range).astype(int), np.rint(mean - 0.5 * daily_range).astype(int)


def missing(which, day):
    return any(start <= day < start + datetime.timedelta(length) for start, length in GAPS[which])


def write_station(path):
    days = [datetime.date(year, *FIRST) + datetime.timedelta(n) for year in YEARS
            for n in range((datetime.date(year, *LAST) - datetime.date(year, *FIRST)).days + 1)]
    high, low = weather(days)
    lines = ["date,low_degF,high_degF"]
    for day, warm, cold in zip(days, high, low):
        both = missing("both", day)
        lines.append(f"{day},{'' if both else cold},{'' if both or missing('high', day) else warm}")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
