"""The feed of the bench: hardness and dissolved solids moved one at a time, the charge balance kept by chloride.

Bookkeeping only. The mass of an ion and its side of the balance are in :func:`brinefront.ions`.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from brinefront._core import Water, ions
from brinefront.errors import InputError
from brinefront.units import convert

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brinefront._core import Case

__all__ = ["feed", "following_dissolved_solids", "least_dissolved_solids", "sodium"]

# A sum of ions this near to what was asked for is what was asked for.
SAME_MG_PER_L = 1e-9


@cache
def _weighed() -> dict[str, tuple[float, bool]]:
    """What a milliequivalent of each ion weighs [mg], and whether it is a cation."""
    return {ion["symbol"]: (ion["g_per_eq"], ion["charge"] > 0) for ion in ions()}


def _solids(meq_per_l: Mapping[str, float]) -> float:
    return sum(amount * _weighed()[ion][0] for ion, amount in meq_per_l.items())


def sodium(water: Water) -> float:
    """Sodium [meq/L]."""
    return convert(water.eq_per_l.get("Na", 0.0), "eq/L", "meq/L")


def _closed(case: Case, hardness_mg_per_l_caco3: float, sodium_meq_per_l: float) -> dict[str, float]:
    """The ions [meq/L] with hardness scaled at its given ratio, this sodium, and chloride closing the balance.

    A feed with less cations than its other anions gets the sodium that it lacks.
    """
    scale = hardness_mg_per_l_caco3 / case.feed_hardness_mg_per_l_caco3
    given = {
        ion: convert(amount, "eq/L", "meq/L") for ion, amount in case.water.eq_per_l.items() if ion not in ("Na", "Cl")
    }
    found = {ion: amount * (scale if ion in case.hardness_ions else 1.0) for ion, amount in given.items()}
    surplus = sum(amount if _weighed()[ion][1] else -amount for ion, amount in found.items())
    salt = max(sodium_meq_per_l, 0.0, -surplus)
    return found | {"Na": salt, "Cl": max(surplus + salt, 0.0)}


def following_dissolved_solids(case: Case, hardness_mg_per_l_caco3: float, sodium_meq_per_l: float) -> float:
    """Dissolved solids [mg/L] of the case's feed at another hardness, its sodium held where the balance allows it."""
    return _solids(_closed(case, hardness_mg_per_l_caco3, sodium_meq_per_l))


def least_dissolved_solids(case: Case, hardness_mg_per_l_caco3: float) -> float:
    """The least dissolved solids [mg/L] that this hardness leaves: with no sodium, or no chloride, to take away."""
    return following_dissolved_solids(case, hardness_mg_per_l_caco3, 0.0)


def feed(case: Case, hardness_mg_per_l_caco3: float, dissolved_solids_mg_per_l: float) -> Water:
    """The case's feed at another hardness and other dissolved solids.

    The ions of hardness keep their ratio; sodium makes up the dissolved solids and chloride closes the balance; every
    other ion stays. Values that are the feed's own give back the feed itself.

    Raises
    ------
    InputError
        If the solids are less than what is left with all sodium, or all chloride, taken away.
    """
    own = case.feed_hardness_mg_per_l_caco3, case.water.dissolved_solids_mg_per_l
    if (hardness_mg_per_l_caco3, dissolved_solids_mg_per_l) == own:
        return case.water
    least = _closed(case, hardness_mg_per_l_caco3, 0.0)
    room = dissolved_solids_mg_per_l - _solids(least)
    if room < -SAME_MG_PER_L:
        lowest = f"{_solids(least):.0f} mg/L"
        limits = f"must be at least {lowest}, which this water holds at that hardness without sodium chloride"
        raise InputError("dissolved solids", f"{dissolved_solids_mg_per_l:.0f}", limits)
    added = max(room, 0.0) / (_weighed()["Na"][0] + _weighed()["Cl"][0])
    found = least | {"Na": least["Na"] + added, "Cl": least["Cl"] + added}
    # Closed already: a chloride of zero, a rounding error below it, would be refused as the ion that closes.
    return Water(found, "meq/L", temperature_c=case.water.temperature_c)
