"""The unit in which a name ends is the one that is said beside the field or the figure."""

from __future__ import annotations

from typing import Any

import brinefront as bf
import pytest
from brinefront import _core
from brinefront.units.fields import DIMENSIONLESS, of_field, of_name
from brinefront.units.quantities import ION_FIELD
from brinefront.units.trade import WORDS
from brinefront.words.labels import field_attributes

CASE = bf.default_case()

# What is said in a report: the unit of a quantity, and that of an axis; a share "of" something has none.
SAID = {
    "% by mass": ("percent", "%"),
    "% by weight": ("percent", "%"),
    "% divinylbenzene": ("percent", "%"),
    "% of what the year began with": ("percent/year", "%/year"),
    "1/s": ("1/s", "1/s"),
    "1/week": ("1/week", ""),
    "BV": ("BV", "BV"),
    "BV/h": ("BV/h", "BV/h"),
    "C": ("degC", "degC"),
    "L": ("L", "L"),
    "eq/L": ("eq/L", "eq/L"),
    "eq/L of bed": ("eq/L", "eq/L of bed"),
    "g": ("g", ""),
    "g as CaCO3": ("g_CaCO3", ""),
    "g/L of resin": ("g/L", "g/L of resin"),
    "gr/lb": ("gr_CaCO3/lb", ""),
    "h": ("h", "h"),
    "kJ/mol": ("kJ/mol", "kJ/mol"),
    "kg": ("kg", ""),
    "kg/m3": ("kg/m**3", "kg/m3"),
    "kg/week": ("kg/week", "kg/week"),
    "kgr/ft3": ("kgr_CaCO3/ft**3", ""),
    "m": ("m", "m"),
    "m/h": ("m/h", "m/h"),
    "m2/s": ("m**2/s", "m2/s"),
    "m3": ("m**3", ""),
    "m3/day": ("m**3/day", "m3/day"),
    "mg/L": ("mg/L", "mg/L"),
    "mg/L as CaCO3": ("mg_CaCO3/L", "mg/L as CaCO3"),
    "min": ("min", "min"),
    "mm": ("mm", "mm"),
    "years": ("year", "year"),
}
BARE = (DIMENSIONLESS, "")

# Of a mapping by ion that has a record for its items too, that one has the unit.
ITEMS = {each["name"].removesuffix(".*") for each in _core.fields() if each["name"].endswith(".*")}
FIELDS = [
    each
    for each in _core.fields()
    if each["unit"] or (each["kind"] in ("number", "whole", "by-ion") and each["name"] not in ITEMS)
]
FIGURES = [each for each in _core.figures() if each["kind"] in ("number", "whole")]


def said(record: dict[str, Any]) -> tuple[str, str]:
    unit = record["unit"] or ""
    return BARE if unit in ("", "none") or unit.startswith("of ") else SAID[unit]


@pytest.mark.parametrize("record", FIELDS, ids=[f"{each['owner']}-{each['name']}" for each in FIELDS])
def test_a_field(record: dict[str, Any]) -> None:
    name = record["name"].replace("*", "Ca" if record["name"].endswith(".*") else "0")
    if name.startswith(ION_FIELD):
        assert record["unit_of"] == "water.unit" and field_attributes(name, CASE)["units"] == CASE.water.unit
        return
    unit, (quantity, axis) = of_field(name), said(record)
    assert unit is not None and unit.quantity == quantity
    assert unit.counts == (record["kind"] == "whole")
    if not name.endswith(".Ca"):
        assert field_attributes(name, CASE).get("units", "") == axis


@pytest.mark.parametrize("record", FIGURES, ids=[each["name"] for each in FIGURES])
def test_a_figure(record: dict[str, Any]) -> None:
    unit, (quantity, _) = of_name(record["name"]), said(record)
    # "salt a week" in kg.
    per_week = "/week" if record["words"].endswith(" a week") and not quantity.endswith("/week") else ""
    assert unit is not None and unit.quantity == quantity + per_week
    assert unit.counts == (record["kind"] == "whole")
    if unit.trade is not None and not per_week and record["unit"] not in WORDS.values():
        assert unit.trade == record["unit"].removesuffix(" of resin")
