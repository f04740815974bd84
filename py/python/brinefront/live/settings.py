"""The controls of the page, and the case that their settings make."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from brinefront.live.feed import feed
from brinefront.native import fields
from brinefront.pictures.efficiency import LIMIT_MG_PER_L_CACO3

if TYPE_CHECKING:
    from brinefront._core import Case

__all__ = ["CELLS", "CONTROLS", "TOLERANCE", "Control", "Settings", "case_of", "curve_key", "dose_cases"]

# While a control moves: fewer cells and a looser end of the search than a case has, for a run of some 40 ms.
CELLS = 40
TOLERANCE = 5e-3


@dataclass(frozen=True)
class Control:
    """A slider: the setting it moves, its words with their unit, how far it goes, another unit that the trade uses."""

    name: str
    words: str
    start: float
    end: float
    step: float
    decimals: int = 0
    other_unit: str = ""
    crossing: tuple[str, str] = ("", "")
    """Names by which :func:`brinefront.units.convert` knows both units."""


CONTROLS = {
    each.name: each
    for each in (
        Control("hardness", "hardness, mg/L as CaCO3", 50, 1000, 10, 0, "gr/gal", ("mg/L CaCO3", "gr/gal")),
        Control("solids", "dissolved solids, mg/L", 100, 3000, 10),
        Control("flow", "service flow, BV/h", 4, 60, 1, 0, "gpm/ft³", ("BV/h", "gpm/ft3")),
        Control("bead", "bead size, mm", 0.3, 1.2, 0.02, 2),
        Control("dose", "salt dose, g/L of resin", 20, 260, 2, 0, "lb/ft³", ("g/L", "lb/ft3")),
        Control("strength", "brine strength, %", 3, 24, 0.5, 1),
        # In place of the strength where a case gives its brine as a normality.
        Control("normality", "brine strength, eq/L", 0.5, 4.5, 0.05, 2),
    )
}


# Strength of a brine that a case says nothing of [%].
UNSET_PERCENT = float((fields.record("regeneration.strength_percent") or {})["unset"])


@dataclass(frozen=True)
class Settings:
    """The value of every control."""

    dose: float
    """Salt [g per litre of resin]."""
    strength: float
    """Of the brine [%], or [eq/L] for a case that gives a normality."""
    direction: str
    flow: float
    """Of service [BV/h]."""
    hardness: float
    """Of the feed [mg/L as CaCO3]."""
    solids: float
    """Dissolved solids of the feed, the sum of its ions [mg/L]."""
    bead: float
    """Diameter [mm]."""
    metered: bool
    """Whether the meter may end a run before its leakage limit does."""

    @classmethod
    def of(cls, case: Case) -> Settings:
        """The settings that are the case's own; its meter is off wherever it has a limit as well."""
        regeneration, service = case.regeneration, case.service
        given = (regeneration.strength_percent, regeneration.normality_eq_per_l)
        return cls(
            dose=regeneration.dose_g_per_l,
            strength=next((strength for strength in given if strength is not None), UNSET_PERCENT),
            direction=regeneration.direction,
            flow=service.flow_bv_per_h,
            hardness=case.feed_hardness_mg_per_l_caco3,
            solids=case.water.dissolved_solids_mg_per_l,
            bead=case.resin.bead_diameter_mm,
            metered=service.limit_mg_per_l_caco3 is None,
        )

    def moved(self, name: str, value: Any) -> Settings:
        """The same with one control elsewhere."""
        return replace(self, **{name: value})


def case_of(case: Case, settings: Settings, *, full: bool = False) -> Case:
    """The case that is run: `case` with these settings, on the coarse grid of a moving bench or on the case's own.

    What has not been moved stays as it is, whatever its unit or its further fields.

    Raises
    ------
    InputError
        If a value, or the combination, is refused.
    """
    own = Settings.of(case)
    strength = "strength_percent" if case.regeneration.normality_eq_per_l is None else "normality_eq_per_l"
    named = {
        "dose": "regeneration.dose_g_per_l",
        "strength": f"regeneration.{strength}",
        "direction": "regeneration.direction",
        "flow": "service.flow_bv_per_h",
        "bead": "resin.bead_diameter_mm",
    }
    changes = {
        path: getattr(settings, name) for name, path in named.items() if getattr(settings, name) != getattr(own, name)
    }
    if (settings.hardness, settings.solids) != (own.hardness, own.solids):
        changes["water"] = feed(case, settings.hardness, settings.solids)
    if not settings.metered:
        limit = case.service.limit_mg_per_l_caco3
        changes |= {"service.volume_bv": None, "service.limit_mg_per_l_caco3": limit or LIMIT_MG_PER_L_CACO3}
    if not full:
        cells = CELLS if case.cells == "auto" else min(case.cells, CELLS)
        changes |= {"cells": cells, "tolerance": max(case.tolerance, TOLERANCE)}
    return case.replace(changes)


def dose_cases(case: Case, settings: Settings) -> dict[str, Case]:
    """The cases whose doses the efficiency curves go through, by direction; their runs end on the leakage limit."""
    ended = replace(settings, metered=False)
    return {
        direction: case_of(case, replace(ended, direction=direction)) for direction in ("co-current", "counter-current")
    }


def curve_key(settings: Settings) -> Settings:
    """What the efficiency curves depend on: not on the dose, nor on the direction, nor on the meter."""
    return replace(settings, dose=0.0, direction="", metered=False)
