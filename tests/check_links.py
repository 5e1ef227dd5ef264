#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Checks the written pages: links lead somewhere, every page is in the index, every command they name exists."""
import pathlib
import re
import subprocess
import sys
import unittest

PROJECT = pathlib.Path(__file__).resolve().parent.parent
PAGES = [PROJECT / "README.md", PROJECT / "DEVELOPERS.md", PROJECT / "demo-dem" / "README.md",
         *sorted((PROJECT / "docs").glob("*.md"))]
LINK = re.compile(r"\]\(([^()\s]+)\)")
FENCE = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)
# A command stands in back-ticks or on an indented line; "lielow" in running text is the program's name.
COMMAND = re.compile(r"(?:`|^ {4}(?:\S*/)?)lielow ([a-z][a-z-]*)", re.MULTILINE)


def anchors(page):
    """The anchors of a page's headings, as the common Markdown viewers make them."""
    found, seen = set(), {}
    for title in re.findall(r"^#+ +(.*?) *#*$", FENCE.sub("", page.read_text(encoding="utf-8")), re.MULTILINE):
        words = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", title).lower()
        slug = re.sub(r"[^\w\- ]", "", words).replace(" ", "-")
        found.add(f"{slug}-{seen[slug]}" if slug in seen else slug)
        seen[slug] = seen.get(slug, 0) + 1
    return found


def links(page):
    return LINK.findall(FENCE.sub("", page.read_text(encoding="utf-8")))


def dead_links(page):
    for link in links(page):
        if re.match(r"[a-z]+:", link):
            continue
        name, _, anchor = link.partition("#")
        target = (page.parent / name).resolve() if name else page
        if not target.exists():
            yield f"{page.name}: {link}: no such file"
        elif anchor and (target.suffix != ".md" or anchor not in anchors(target)):
            yield f"{page.name}: {link}: no such heading"


class Links(unittest.TestCase):
    def test_lead_somewhere(self):
        self.assertGreater(sum(len(links(page)) for page in PAGES), 20)
        self.assertEqual([dead for page in PAGES for dead in dead_links(page)], [])

    def test_every_page_is_in_the_index(self):
        index = PROJECT / "docs" / "index.md"
        named = {link.partition("#")[0] for link in links(index)}
        self.assertEqual({page.name for page in (PROJECT / "docs").glob("*.md")} - named - {"index.md"}, set())

    def test_every_figure_is_shown(self):
        shown = {pathlib.PurePath(link).name for page in PAGES for link in links(page)}
        self.assertEqual({p.name for p in (PROJECT / "docs" / "figures").iterdir()} - shown, set())


class Commands(unittest.TestCase):
    def test_exist(self):
        told = subprocess.run([PROGRAM, "--help"], capture_output=True, text=True, check=True).stdout
        there = set(re.findall(r"^ {2}([a-z]+) {2,}", told, re.MULTILINE))
        self.assertIn("run", there)
        named = {(page.name, name) for page in PAGES for name in COMMAND.findall(page.read_text(encoding="utf-8"))}
        self.assertGreater(len(named), 5)
        self.assertEqual([where for where in sorted(named) if where[1] not in there], [])


if __name__ == "__main__":
    PROGRAM = sys.argv.pop(1)
    unittest.main()
