"""Published figures that pictures and tests are set against, read from one table with its sources."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from brinefront import _core

if TYPE_CHECKING:
    from brinefront._core import Case

__all__ = ["Conditions", "co_current_capacity", "conditions", "outside_of_published"]

# Share of bicarbonate that evaporation leaves behind, as carbonate: from the formula masses, 2 HCO3 -> CO3.
BICARBONATE_LEFT = 60.008 / (2.0 * 61.016)
# An end point within this share of the published one is the same.
SAME_LIMIT = 0.05


@dataclass(frozen=True)
class Conditions:
    """What the published figures hold for."""

    salt: str
    strength_percent: tuple[float, float]
    """Least and highest of the brine."""
    most_dissolved_solids_mg_per_l: float
    """Of the feed."""
    temperature_c: tuple[float, float]
    """Least and highest of the water."""
    limit_mg_per_l_caco3: float
    """End point of the run."""


@cache
def _table() -> dict[str, Any]:
    """``published_capacity.json`` beside this file: conditions, band, and the ratings that it is the envelope of."""
    text = files(__package__).joinpath("published_capacity.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


@cache
def conditions() -> Conditions:
    """What the published figures hold for, as their table says."""
    found: dict[str, Any] = _table()["conditions"]
    for ends in ("strength_percent", "temperature_c"):
        found = found | {ends: tuple(found[ends])}
    return Conditions(**found)


@cache
def co_current_capacity() -> dict[float, tuple[float, float]]:
    """Operating capacity of co-current softeners, low and high [kgr/ft3] at a salt dose [lb/ft3].

    Their table, ``published_capacity.json`` beside this file, has the ratings that the band is the envelope of, each with
    its source; :func:`conditions` what they hold for.
    """
    return {row["dose"]: (row["low"], row["high"]) for row in _table()["band"]}


def outside_of_published(case: Case) -> list[str]:
    """Which conditions of the published figures a case does not keep, in words; none if it keeps all."""
    regeneration, water, held = case.regeneration, case.water, conditions()
    strength, limit = regeneration.strength_percent, case.service.limit_mg_per_l_caco3
    solids = dissolved_solids_mg_per_l(case)
    found = [
        (f"{regeneration.salt} for salt", regeneration.salt != held.salt),
        (f"brine of {strength or 0.0:g} %", strength is not None and not _within(strength, held.strength_percent)),
        (f"{solids:.0f} mg/L of dissolved solids in the feed", solids > held.most_dissolved_solids_mg_per_l),
        (f"water at {water.temperature_c:g} C", not _within(water.temperature_c, held.temperature_c)),
        (
            f"end point {limit or 0.0:g} mg/L",
            limit is not None and abs(limit / held.limit_mg_per_l_caco3 - 1.0) > SAME_LIMIT,
        ),
    ]
    return [words for words, outside in found if outside]


def dissolved_solids_mg_per_l(case: Case) -> float:
    """What evaporation would leave of the feed [mg/L], its bicarbonate as carbonate."""
    mass: dict[str, float] = {record["symbol"]: record["g_per_eq"] for record in _core.ions()}
    left = {"HCO3": BICARBONATE_LEFT}
    return sum(1000.0 * eq * mass[ion] * left.get(ion, 1.0) for ion, eq in case.water.eq_per_l.items())


def _within(value: float, ends: tuple[float, float]) -> bool:
    return ends[0] <= value <= ends[1]
