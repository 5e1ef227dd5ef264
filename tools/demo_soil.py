# SPDX-License-Identifier: Apache-2.0
"""The demo farm's invented soil: a survey of five soils, coarse as surveys are, and tests made in its fields."""

# Borders from west to east, metres east and north of the south-west corner; each soil lies below one and above the next.
BORDERS = [
    [(0, 1100), (1400, 1100)],
    [(0, 985), (300, 985), (600, 870), (900, 845), (1400, 760)],
    [(0, 640), (400, 620), (750, 600), (1000, 640), (1400, 560)],
    [(0, 480), (450, 500), (700, 520), (1000, 460), (1110, 430), (1400, 420)],
    [(0, 400), (450, 380), (700, 320), (900, 290), (1080, 240), (1180, 120), (1400, 100)],
    [(0, 0), (1400, 0)],
]
# Columns as the US open data name them, with their units: depths in cm, conductivity in um/s, available water in cm.
COLUMNS = ["mukey", "muname", "drclassdcd", "wtdepannmin", "wtdepaprjunmin", "resdept_r", "flodfreqdcd", "pondfreqcl",
           "hydgrpdcd", "ph1to1h2o_r", "aws0100wta", "ksat_r", "texcl"]
TEXTS = {"mukey", "muname", "drclassdcd", "flodfreqdcd", "pondfreqcl", "hydgrpdcd", "texcl"}
SOILS = [
    ("1", "Wendlow sandy loam", "Somewhat excessively drained", None, None, None, "None", "None", "A", 5.2, 11.8, 28.0,
     "Sandy loam"),
    ("2", "Orrisby silt loam", "Well drained", None, None, None, "None", "None", "B", 5.4, 18.6, 9.2, "Silt loam"),
    ("3", "Tamber loam", "Moderately well drained", 76, 84, 122, "None", "None", "C", 5.8, 17.2, 4.0, "Loam"),
    ("4", "Hobbrin silty clay loam", "Somewhat poorly drained", 25, 30, 97, "Rare", "Occasional", "C/D", 6.1, 19.0, 1.4,
     "Silty clay loam"),
    ("5", "Orrisby silt loam, sloping", "Well drained", None, None, None, "None", "None", "B", 5.5, 18.0, 8.6,
     "Silt loam"),
]

HEAD = ("name,kind,x,y,field,date,hole_radius [in],fill_depth [in],time [min],drop [in],presoak,top [in],bottom [in],"
        "color,mottles,texture,roots,restriction,days_after_rain,water [in],ph,pressure [psi]").split(",")


def outlines():
    """(corners, values) of each soil."""
    return [(upper + lower[::-1], values) for upper, lower, values in zip(BORDERS, BORDERS[1:], SOILS)]


def tests():
    """A row for each reading, as dictionaries of the columns of HEAD."""
    rows = []

    def add(name, kind, place, **values):
        x, y = place if isinstance(place, tuple) else ("", "")
        field = "" if isinstance(place, tuple) else place
        rows.append({"name": name, "kind": kind, "x": x, "y": y, "field": field, **values})

    hole = {"hole_radius [in]": 3, "fill_depth [in]": 12, "presoak": "yes"}
    for time, drop in ((30, 0.9), (60, 1.7), (90, 2.5), (120, 3.2)):
        add("Shelf hole", "percolation", (500400, 4400860), **hole, **{"time [min]": time, "drop [in]": drop})
    for time, drop in ((60, 0.3), (120, 0.6), (240, 1.1)):
        add("Swale hole", "percolation", (500800, 4400400), **hole, **{"time [min]": time, "drop [in]": drop})
    layers = {"Shelf pit": ((500350, 4400850), [(0, 9, "10YR 3/3", "none", "silt loam", "yes"),
                                                (9, 34, "10YR 5/6", "none", "silt loam", "yes"),
                                                (34, 48, "10YR 5/4", "none", "silty clay loam", "no")]),
              "Gate pit": ((501200, 4400300), [(0, 8, "10YR 3/2", "none", "silty clay loam", "yes"),
                                               (8, 16, "10YR 5/4", "10YR 6/2", "silty clay loam", "yes"),
                                               (16, 40, "10YR 6/1", "7.5YR 5/8", "silty clay", "no")])}
    for name, (place, found) in layers.items():
        for top, bottom, color, mottles, texture, roots in found:
            add(name, "pit", place, **{"top [in]": top, "bottom [in]": bottom, "color": color, "mottles": mottles,
                                       "texture": texture, "roots": roots})
    for day, date, water in ((0, "2026-04-20", 6), (1, "2026-04-21", 11), (3, "2026-04-23", 15), (7, "2026-04-27", 22)):
        add("Gate pit", "pit", layers["Gate pit"][0], date=date, **{"days_after_rain": day, "water [in]": water})
    for name, field, samples in (("Rail samples", "Top Rail", (4.9, 5.1, 5.0)), ("Swale samples", "Long Swale", (6.0, 6.2))):
        for ph in samples:
            add(name, "ph", field, ph=ph)
    for psi in (150, 220, 310, 340, 280, 330, 190, 350, 260, 305):
        add("Headland", "penetrometer", (500690, 4400750), **{"pressure [psi]": psi})
    return rows


def write_tests(path):
    lines = [",".join(HEAD)] + [",".join(str(row.get(column, "")) for column in HEAD) for row in tests()]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
