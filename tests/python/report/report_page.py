"""A report read back, and cases to report."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree

import brinefront as bf
import html5lib
from brinefront import report

CASE = bf.default_case().replace({"cells": 30})
RECIPE = bf.Recipe(
    [
        bf.Backwash(minutes=5.0),
        bf.Brine(share=0.5),
        bf.Standby(20.0),
        bf.Brine(),
        bf.SlowRinse(until_chloride_mg_per_l=2000.0, at_most_bv=4.0),
        bf.FastRinse(),
    ]
)
HARD = {
    "name": '<script>alert("&")</script>',
    "water": bf.Water({"Ca": 600.0, "Mg": 200.0, "Na": 3000.0}),
    "regeneration.dose_g_per_l": 20.0,
    "service.limit_mg_per_l_caco3": 0.5,
    "regeneration.direction": "co-current",
}
SMALL = """schema = 1
cells = 30
[water]
ions = { Ca = 80.0, Mg = 24.0, Na = 28.0 }
[resin]
bead_diameter_mm = 0.5
[bed]
depth_m = 0.9
diameter_m = 0.4
[service]
flow_bv_per_h = 20.0
limit_mg_per_l_caco3 = 17.0
[regeneration]
direction = "co-current"
dose_g_per_l = 80.0
"""


class Page:
    """A report read back as a browser reads it; what is not valid HTML is an error."""

    def __init__(self, html: str) -> None:
        self.html = html
        parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
        self.tree: ElementTree.Element = parser.parse(html)

    def all(self, tag: str) -> list[ElementTree.Element]:
        return list(self.tree.iter(tag))

    def words(self, element: ElementTree.Element | None = None) -> str:
        return _plain("".join((self.tree.find("body") if element is None else element).itertext()))

    def table(self, key: str) -> list[list[str]]:
        """The rows of a table's body, the head of a group of rows repeated on each of them."""
        table = next(table for table in self.all("table") if table.find("caption").get("id") == key)
        rows = []
        for body in table.findall("tbody"):
            head: list[str] = []
            for row in body.findall("tr"):
                cells = [_cell(cell) for cell in row]
                if row[0].tag == "th":
                    head = cells[:1]
                    rows.append(cells)
                else:
                    rows.append(head + cells)
        return rows


def _plain(words: str) -> str:
    """Words with single spaces, powers and indices of units on the line."""
    return " ".join(words.split()).translate(str.maketrans("₃³²", "332"))


def _cell(element: ElementTree.Element) -> str:
    """A cell's words, powers of ten as computers write them."""
    words = _plain("".join(element.itertext()))
    power = re.fullmatch(r"(-?[\d.]+) × 10(−?)(\d+)", words)
    return words if power is None else f"{power[1]}e{'-' if power[2] else '+'}{int(power[3]):02d}"


def page_of(found: bf.Comparison, **options: Any) -> Page:
    return Page(report.render(found, **options))


def input_rows(page: Page) -> dict[str, list[list[str]]]:
    """Value, unit, origin and source of each field, once for each entry."""
    table = next(table for table in page.all("table") if table.find("caption").get("id") == "inputs-table")
    rows: dict[str, list[list[str]]] = {}
    field = ""
    for row in table.findall("tbody/tr"):
        code = row.find("th/code")
        field = field if code is None else str(code.text)
        if row.findall("td"):
            rows.setdefault(field, []).append([_cell(cell) for cell in row.findall("td")])
    return rows


def four_cases() -> bf.Comparison:
    """Four strategies that differ in salt, recipe, water and direction."""
    salt = CASE.replace({"regeneration.salt": "KCl", "name": "Potassium"})
    return bf.compare(
        [
            CASE,
            salt,
            CASE.replace({"recipe": RECIPE, "name": "Split", "regeneration.salt_impurities_percent": {"Ca": 0.3}}),
            CASE.mirrored().replace({"water.ions.Ca": 120.0, "name": "Harder"}),
        ]
    )
