#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Checks the walls of the house: what each folder may include, what the top level holds, what CMake lists.

Usage: check_layers.py [PROJECT]. Prints each fault as FILE:LINE: WHAT and ends with status 1 if there is one.
"""
import pathlib
import re
import sys

TOP_LEVEL = {"CMakeLists.txt", "DEVELOPERS.md", "LICENSE", "README.md", "demo-dem", "docs", "io", "sim", "tests",
             "tools"}
MADE_HERE = re.compile(r"build.*|out|node_modules|__pycache__|compile_commands\.json")  # ignored by git

FILES_OR_PRINTING = re.compile(r"gdal|ogr|cpl_|proj|hdf5|H5|netcdf|toml|nlohmann|CLI|fmt/|iostream|fstream|ostream|"
                               r"cstdio|stdio\.h|filesystem|print")
FORBIDDEN = {  # folder: [(includes that match, why)]
    "sim": [(FILES_OR_PRINTING, "sim/ is pure physics: no files, no GDAL, no printing"),
            (re.compile(r"(io|tools|tests)/"), "sim/ knows no other folder")],
    "io": [(re.compile(r"(tools|tests)/"), "io/ may reach for sim/ only"),
           (re.compile(r"CLI"), "the command line lives in tools/")],
    "tools": [(re.compile(r"tests/"), "tools/ may reach for io/ and sim/ only"),
              (re.compile(r"io/gdal_"), "io/gdal_*.hpp is for io/'s own .cpp files")],
}
OPEN_HEADER = (re.compile(r"(gdal|ogr|cpl_|proj|geos|hdf5|H5|io/gdal_)"),
               "GDAL, PROJ, GEOS and HDF5 stay inside io/'s .cpp files and io/gdal_*.hpp")
PRINTING = re.compile(r"\b(std::(cout|cerr|clog)|(f?printf|puts)\s*\(|fmt::print|(std::)?exit\s*\()")
INCLUDE = re.compile(r'\s*#\s*include\s*[<"]([^>"]+)[>"]')


def includes(lines):
    return [(number, m[1]) for number, line in enumerate(lines, 1) if (m := INCLUDE.match(line))]


def faults_of_source(folder, path, lines):
    rules = list(FORBIDDEN.get(folder, []))
    if path.suffix == ".hpp" and folder != "tests" and not path.name.startswith("gdal_"):
        rules.append(OPEN_HEADER)
    for number, name in includes(lines):
        for pattern, why in rules:
            if pattern.match(name):
                yield number, f"includes {name}: {why}"
    if folder == "sim":
        for number, line in enumerate(lines, 1):
            if PRINTING.search(line.split("//")[0]):
                yield number, "sim/ neither prints nor ends the program"
    if not lines or "SPDX-License-Identifier: Apache-2.0" not in "".join(lines[:2]):
        yield 1, "the SPDX line is missing at the top"


def is_listed(path):
    """Named in the nearest CMakeLists.txt above it."""
    place = next(folder for folder in path.parents if (folder / "CMakeLists.txt").exists())
    name = re.escape(str(path.relative_to(place)))
    return re.search(rf"(?<![\w/]){name}\b", (place / "CMakeLists.txt").read_text(encoding="utf-8"))


def faults_of_folder(project, folder):
    sources = sorted(p for p in (project / folder).rglob("*") if p.suffix in (".cpp", ".hpp", ".py"))
    for path in sources:
        if "__pycache__" in path.parts:
            continue
        where = path.relative_to(project)
        for number, what in faults_of_source(folder, path, path.read_text(encoding="utf-8").splitlines(keepends=True)):
            yield f"{where}:{number}: {what}"
        if path.suffix == ".cpp" and not is_listed(path):
            yield f"{where}:1: not named in its CMakeLists.txt"


def faults_of(project):
    for entry in sorted(p.name for p in project.iterdir()):
        if not (entry.startswith(".") or entry in TOP_LEVEL or MADE_HERE.fullmatch(entry)):
            yield f"{entry}:1: the top level holds only {', '.join(sorted(TOP_LEVEL))} and dotfiles"
    for missing in sorted(name for name in TOP_LEVEL if not (project / name).exists()):
        yield f"{missing}:1: missing from the top level"
    for folder in ("sim", "io", "tools", "tests"):
        yield from faults_of_folder(project, folder)


def main():
    here = pathlib.Path(__file__).resolve().parent.parent
    found = list(faults_of(pathlib.Path(sys.argv[1]).resolve() if len(sys.argv) > 1 else here))
    print("\n".join(found) if found else "the walls stand")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
