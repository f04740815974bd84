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
    **dict.fromkeys(("cells", "shells", "tubes"), ("dimensionless", 1)),
}

# A valid number for every numeric argument, and the other arguments that it needs.
CASE_PARTS = {
    "water": CASE.water, "resin": CASE.resin, "bed": CASE.bed, "service": CASE.service,
    "regeneration": CASE.regeneration,
}  # fmt: skip
RINSE: dict[str, tuple[Any, dict[str, Any]]] = {
    "flow_bv_per_h": (4.0, {"volume_bv": 1.0}),
    "volume_bv": (1.5, {}),
    "minutes": (30.0, {}),
    "until_hardness_mg_per_l_caco3": (5.0, {"at_most_bv": 6.0}),
    "until_chloride_mg_per_l": (900.0, {"at_most_bv": 6.0}),
    "at_most_bv": (6.0, {"until_chloride_mg_per_l": 900.0}),
}
REGENERATION = {"direction": "co-current", "dose_g_per_l": 96.0}
RADIAL_SIZES = [(0.4, 0.3), (0.6, 0.7)]
ARGUMENTS: dict[str, dict[str, tuple[Any, dict[str, Any]]]] = {
    "Water": {"temperature_c": (15.0, {"ions": {"Ca": 80.0}}), "ions": ({"Ca": 80.0, "Mg": 24.0}, {})},
    "Resin": {
        "capacity_eq_per_l": (1.9, {}),
        "selectivity": ({"Ca": 2.6, "Mg": 1.6}, {}),
        "bead_diameter_mm": (0.6, {}),
        "void_fraction": (0.4, {}),
        "bead_diffusivity_m2_per_s": (1.5e-11, {}),
        "bead_activation_kj_per_mol": (25.0, {}),
        "wet_bead_kg_per_m3": (1250.0, {}),
        "bead_sizes": (RADIAL_SIZES, {}),
        "bead_water_fraction": (0.5, {}),
        "age_years": (4.0, {}),
        "capacity_loss_percent_per_year": (3.0, {}),
        "crosslinking_percent": (8.0, {}),
        "selectivity_at_eq_per_l": (0.1, {}),
    },
    "Bed": {
        "depth_m": (0.9, {"diameter_m": 0.4}),
        "diameter_m": (0.4, {"depth_m": 0.9}),
        "volume_l": (113.0, {"depth_m": 0.9}),
        "solid_mixing_m2_per_s": (1e-6, {"depth_m": 0.9, "diameter_m": 0.4, "lifted_mixing": "dispersion"}),
        "freeboard_l": (60.0, {"depth_m": 0.9, "diameter_m": 0.4}),
        "under_bed_l": (10.0, {"depth_m": 0.9, "diameter_m": 0.4}),
    },
    "Maldistribution": {
        "spread": (0.2, {}),
        "tubes": (7, {"spread": 0.2}),
        "fast_flow_share": (0.3, {"fast_area_share": 0.2}),
        "fast_area_share": (0.2, {"fast_flow_share": 0.3}),
        "correlation": (0.5, {"spread": 0.2}),
    },
    "Rates": {"film_per_s": (0.1, {}), "bead_per_s": (0.006, {}), "dispersion_m2_per_s": (2e-6, {})},
    "Service": {
        "flow_bv_per_h": (20.0, {"volume_bv": 100.0}),
        "limit_mg_per_l_caco3": (17.0, {"flow_bv_per_h": 20.0}),
        "volume_bv": (100.0, {"flow_bv_per_h": 20.0}),
        "standby_hours": (8.0, {"flow_bv_per_h": 20.0, "volume_bv": 100.0, "standby_after_bv": 50.0}),
        "standby_after_bv": (50.0, {"flow_bv_per_h": 20.0, "volume_bv": 100.0, "standby_hours": 8.0}),
    },
    "Regeneration": {
        "dose_g_per_l": (96.0, {"direction": "co-current"}),
        "strength_percent": (10.0, REGENERATION),
        "normality_eq_per_l": (1.5, REGENERATION),
        "flow_bv_per_h": (3.0, REGENERATION),
        "soft_water_leakage_mg_per_l_caco3": (2.0, REGENERATION),
        "slow_rinse_bv": (1.5, REGENERATION),
        "fast_rinse_bv": (3.0, REGENERATION),
        "fast_rinse_flow_bv_per_h": (12.0, REGENERATION),
        "backwash_mixing": (0.5, REGENERATION),
        "backwash_flow_m_per_h": (14.0, REGENERATION),
        "backwash_min": (8.0, REGENERATION),
        "salt_purity_percent": (98.0, REGENERATION),
        "salt_impurities_percent": ({"Ca": 0.3, "Mg": 0.05}, REGENERATION),
        "reclaim_from_bv": (1.2, REGENERATION | {"reclaim_to_bv": 1.7}),
        "reclaim_to_bv": (1.7, REGENERATION | {"reclaim_from_bv": 1.2}),
    },
    "Backwash": {
        "flow_m_per_h": (14.0, {}), "minutes": (10.0, {}), "volume_bv": (2.0, {}), "mixing": (0.6, {})
    },
    "Brine": {"flow_bv_per_h": (3.0, {}), "share": (0.5, {}), "volume_bv": (0.8, {}), "minutes": (30.0, {})},
    "SlowRinse": RINSE,
    "FastRinse": RINSE,
    "Standby": {"minutes": (20.0, {})},
    "Site": {
        "water_use_m3_per_day": (10.0, {"name": "a laundry"}),
        "salt_budget_kg_per_week": (60.0, {"name": "a laundry", "water_use_m3_per_day": 10.0}),
        "accepted_leakage_mg_per_l_caco3": (5.0, {"name": "a laundry", "water_use_m3_per_day": 10.0}),
    },
    "Case": {
        "tolerance": (1e-3, CASE_PARTS), "accuracy": (0.02, CASE_PARTS),
        "cells": (40, CASE_PARTS), "shells": (12, CASE_PARTS),
    },
}  # fmt: skip
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
        return {ion: Q(1000 * eq * grams[ion] / charge[ion], "mg/L") for ion, eq in value.items()}
    if name == "bead_sizes":
        return [(Q(diameter / 25.4, "inch"), Q(100.0 * share, "percent")) for diameter, share in value]
    unit, factor = other_unit(name)
    if isinstance(value, dict):
        return {key: Q(number / factor, unit) for key, number in value.items()}
    return Q(value / factor, unit)
