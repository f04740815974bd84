"""Published figures that pictures and tests are set against, read from one table with its sources."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from brinefront import _core

if TYPE_CHECKING:
    from brinefront._core import Case

__all__ = ["co_current_capacity", "outside_of_published"]

# What the published figures hold for, as ``published_capacity.json`` says.
STRENGTH_PERCENT = (8.0, 12.0)
MOST_SOLIDS_MG_PER_L = 500.0
TEMPERATURE_C = (15.0, 25.0)
LIMIT_MG_PER_L_CACO3 = 17.0
# Share of bicarbonate that evaporation leaves behind, as carbonate: from the formula masses, 2 HCO3 -> CO3.
BICARBONATE_LEFT = 60.008 / (2.0 * 61.016)


@cache
def co_current_capacity() -> dict[float, tuple[float, float]]:
    """Operating capacity of co-current softeners, low and high [kgr/ft3] at a salt dose [lb/ft3].

    ``published_capacity.json`` beside this file has the conditions and the ratings that the band is the envelope of, each
    with its source.
    """
    table = json.loads(files(__package__).joinpath("published_capacity.json").read_text(encoding="utf-8"))
    return {row["dose"]: (row["low"], row["high"]) for row in table["band"]}


def outside_of_published(case: Case) -> list[str]:
    """Which conditions of the published figures a case does not keep, in words; none if it keeps all."""
    regeneration, water = case.regeneration, case.water
    strength, limit = regeneration.strength_percent, case.service.limit_mg_per_l_caco3
    solids = dissolved_solids_mg_per_l(case)
    found = [
        (f"{regeneration.salt} for salt", regeneration.salt != "NaCl"),
        (f"brine of {strength or 0.0:g} %", strength is not None and not _within(strength, STRENGTH_PERCENT)),
        (f"{solids:.0f} mg/L of dissolved solids in the feed", solids > MOST_SOLIDS_MG_PER_L),
        (f"water at {water.temperature_c:g} C", not _within(water.temperature_c, TEMPERATURE_C)),
        (f"end point {limit or 0.0:g} mg/L", limit is not None and abs(limit / LIMIT_MG_PER_L_CACO3 - 1.0) > 0.05),
    ]
    return [words for words, outside in found if outside]


def dissolved_solids_mg_per_l(case: Case) -> float:
    """What evaporation would leave of the feed [mg/L], its bicarbonate as carbonate."""
    mass: dict[str, float] = {record["symbol"]: record["g_per_eq"] for record in _core.ions()}
    left = {"HCO3": BICARBONATE_LEFT}
    return sum(1000.0 * eq * mass[ion] * left.get(ion, 1.0) for ion, eq in case.water.eq_per_l.items())


def _within(value: float, ends: tuple[float, float]) -> bool:
    return ends[0] <= value <= ends[1]
