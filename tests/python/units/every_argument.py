"""A valid number for every numeric argument of the package, and the same as a quantity in another unit.

Factors stand on the definitions of grain, pound, US gallon and foot (NIST Handbook 44, appendix C; grain and pound read
second-hand, the rest from memory) and on the atomic masses C 12.011, O 15.999, Ca 40.078, Mg 24.305, Na 22.990.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import brinefront as bf
from brinefront import _core

UREG = bf.units.registry()
Q = UREG.Quantity
CASE = bf.default_case()

MG_A_GRAIN = 64.79891
G_A_POUND = 453.59237
L_A_GALLON = 3.785411784
L_A_CUBIC_FOOT = 28.316846592
M2_A_SQUARE_FOOT = 0.09290304
G_CACO3_AN_EQ = (40.078 + 12.011 + 3 * 15.999) / 2
DAYS_A_YEAR = 365.25

# For the end of a name: another unit, and how many of the name's own unit one of it is.
OTHER_UNITS = {
    "mg_per_l_caco3": ("gpg", MG_A_GRAIN / L_A_GALLON),
    "mg_per_l": ("lb/ft**3", 1000 * G_A_POUND / L_A_CUBIC_FOOT),
    "g_per_l": ("lb/ft**3", G_A_POUND / L_A_CUBIC_FOOT),
    "eq_per_l": ("kgr_CaCO3/ft**3", MG_A_GRAIN / L_A_CUBIC_FOOT / G_CACO3_AN_EQ),
    "kg_per_m3": ("lb/ft**3", G_A_POUND / L_A_CUBIC_FOOT),
    "bv": ("gal/ft**3", L_A_GALLON / L_A_CUBIC_FOOT),
    "bv_per_h": ("gpm/ft**3", 60 * L_A_GALLON / L_A_CUBIC_FOOT),
    "m_per_h": ("gpm/ft**2", 60e-3 * L_A_GALLON / M2_A_SQUARE_FOOT),
    "m2_per_s": ("cm**2/s", 1e-4),
    "per_s": ("1/min", 1 / 60),
    "m3_per_day": ("gal/day", 1e-3 * L_A_GALLON),
    "kg_per_week": ("lb/day", 7e-3 * G_A_POUND),
    "kj_per_mol": ("J/mol", 1e-3),
    "percent": ("dimensionless", 100.0),
    "percent_per_year": ("1/year", 100.0),
    "l": ("ft**3", L_A_CUBIC_FOOT),
    "m": ("foot", 0.3048),
    "mm": ("inch", 25.4),
    "min": ("hour", 60.0),
    "minutes": ("hour", 60.0),
    "hours": ("day", 24.0),
    "years": ("day", 1 / DAYS_A_YEAR),
    **dict.fromkeys(
        ("fraction", "share", "mixing", "spread", "correlation", "selectivity", "tolerance", "accuracy"),
        ("percent", 0.01),
    ),
    # Counts, the cells of a case, which may be found instead, and shells, which may be the fitted ones.
    "cells": ("dimensionless", 1),
    "shells": ("dimensionless", 1),
    **{each["name"].rpartition(".")[2]: ("dimensionless", 1) for each in _core.fields() if each["kind"] == "whole"},
}

# What a case is built of, and the classes that have another name than the struct of their fields.
CASE_PARTS = {
    "water": CASE.water, "resin": CASE.resin, "bed": CASE.bed, "service": CASE.service,
    "regeneration": CASE.regeneration,
}  # fmt: skip
RADIAL_SIZES = [(0.4, 0.3), (0.6, 0.7)]
STRUCTS = {"SlowRinse": "Rinse", "FastRinse": "Rinse"}


def samples(name: str) -> dict[str, tuple[Any, dict[str, Any]]]:
    """The sample of every numeric field of a class, with what must be given beside it."""
    records = {
        each["name"].rpartition(".")[2]: each for each in _core.fields() if each["owner"] == STRUCTS.get(name, name)
    }
    if name == "Water":
        # A mapping has a record for its items alone.
        records["ions"] = records.pop("*") | {"sample": {"Ca": 80.0, "Mg": 24.0}}
    must = {field for field, each in records.items() if each["required"] and field != "*" and name != "Bed"}
    must |= {"name", "water_use_m3_per_day"} if name == "Site" else set()
    sampled = {field: each for field, each in records.items() if each["sample"] is not None}
    found = {}
    for field, each in sampled.items():
        if each["kind"] in ("text", "choice", "flag"):
            continue
        beside = {other: sampled[other]["sample"] for other in sorted(must | set(each["needs"])) if other != field}
        value = each["sample"]
        # JSON has no pairs.
        value = [tuple(item) for item in value] if isinstance(value, list) else value
        found[field] = (value, CASE_PARTS | beside if name == "Case" else beside)
    return found


# The same for the functions whose numbers are plain arguments.
SOLUTION = {"Ca": 0.004, "Mg": 0.002, "Na": 0.003}
K = {"Ca": 2.6, "Mg": 1.6}
EQUILIBRIUM: dict[str, tuple[Any, dict[str, Any]]] = {
    "solution": (SOLUTION, {"selectivity": K, "capacity_eq_per_l": 2.0}),
    "selectivity": (K, {"solution": SOLUTION, "capacity_eq_per_l": 2.0}),
    "capacity_eq_per_l": (2.0, {"solution": SOLUTION, "selectivity": K}),
    "temperature_c": (15.0, {"solution": SOLUTION, "selectivity": K, "capacity_eq_per_l": 2.0, "activity": "davies"}),
}
STUB = ast.parse((Path(bf.__file__).parent / "_core.pyi").read_text(encoding="utf-8"))


def numeric(function: ast.FunctionDef) -> dict[str, str]:
    """The arguments of a stub that are numbers, alone or in a mapping or a list, with their annotations."""
    arguments = [*function.args.args, *function.args.kwonlyargs]
    said = {each.arg: ast.unparse(each.annotation) for each in arguments if each.annotation is not None}
    return {name: words for name, words in said.items() if any(kind in words for kind in ("Number", "float", "int "))}


def constructors() -> Iterator[tuple[str, dict[str, str]]]:
    for each in STUB.body:
        if isinstance(each, ast.ClassDef) and each.name in bf.__all__ and each.name not in ("PointStream", "Recipe"):
            [new] = [it for it in each.body if isinstance(it, ast.FunctionDef) and it.name == "__new__"]
            yield each.name, numeric(new)


# A valid number for every numeric argument, and the other arguments that it needs.
ARGUMENTS = {name: samples(name) for name, _ in constructors()}
DRIVEN = [(name, argument) for name, arguments in constructors() for argument in arguments]


def other_unit(name: str) -> tuple[str, float]:
    """Another unit for a name, by the longest ending that is known here."""
    words = name.split("_")
    ends = ["_".join(words[k:]) for k in range(len(words))]
    known = [end for end in ends if end in OTHER_UNITS]
    assert known, f"no other unit is known here for {name}: every number must be tested with one"
    return OTHER_UNITS[known[0]]


def as_quantity(name: str, value: Any) -> Any:
    """A number of the package as a quantity in another unit, by the factors above."""
    if name == "temperature_c":
        return Q(value * 1.8 + 32.0, "degF")
    if name in ("ions", "solution"):
        grams = {"Ca": 40.078, "Mg": 24.305, "Na": 22.990}
        if name == "ions":
            return {"Ca": Q(value["Ca"] / grams["Ca"], "mmol/L"), "Mg": Q(2 * value["Mg"] / grams["Mg"], "meq/L")}
        charge = {"Ca": 2, "Mg": 2, "Na": 1}
        return {ion: Q(1000 * eq * grams[ion] / charge[ion], "mg_ion/L") for ion, eq in value.items()}
    if name == "bead_sizes":
        return [(Q(diameter / 25.4, "inch"), Q(100.0 * share, "percent")) for diameter, share in value]
    unit, factor = other_unit(name)
    if isinstance(value, dict):
        return {key: Q(number / factor, unit) for key, number in value.items()}
    return Q(value / factor, unit)
