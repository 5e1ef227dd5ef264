# SPDX-License-Identifier: Apache-2.0
"""What the tests of batches share: a small invented county, and what an out directory holds."""
import csv
import json

from cli_case import Cli, rolling_ground, write_dem, write_polygon

FARMS = ["Alder", "Birch", "Cedar Hill", "Dogwood"]


def contents(out):
    """Every result in `out` as bytes, but for what differs between two runs of the same thing: times and memory."""
    found = {}
    for path in sorted(out.rglob("*")):
        name = str(path.relative_to(out))
        if not path.is_file() or name.startswith((".locks", "journal")):
            continue
        if path.name == "summary.json":
            summary = json.loads(path.read_text())
            del summary["run"]
            found[name] = summary
        else:
            found[name] = path.read_bytes()
    return found


class BatchCase(Cli):
    def write_county(self, farms=FARMS, rows=40, columns="", values=""):
        """A DEM for each farm, a site file for all, county.csv."""
        lines = ["name,dem" + columns]
        for number, farm in enumerate(farms):
            write_dem(self.folder / f"{number}.tif", rolling_ground(rows, 60) + number, north=4400000 + 1000 * number)
            lines.append(f"{farm},{number}.tif{values}")
        (self.folder / "base.toml").write_text('[water]\nstorm = "3 in"\nstage = "10 ft"\n')
        self.write_list("\n".join(lines) + "\n")

    def write_list(self, text):
        (self.folder / "county.csv").write_text(text)

    def batch(self, *arguments, only="water", **options):
        return self.lielow("batch", "county.csv", "--site", "base.toml", "--out", "out", "--only", only, *arguments,
                           **options)

    def out(self, *names):
        return self.folder.joinpath("out", *names)

    def table(self):
        with open(self.out("farms.csv"), newline="", encoding="utf-8") as file:
            return {row["name"]: row for row in csv.DictReader(file)}

    def journal(self, name="journal.jsonl"):
        return [json.loads(line) for line in self.out(name).read_text().splitlines()]

    def write_field(self, file, wkt, **attributes):
        write_polygon(self.folder / file, wkt, **attributes)
