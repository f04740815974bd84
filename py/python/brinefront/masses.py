"""Masses of ions, as the core has them: a water's analysis in mg/L read back in equivalents."""

from __future__ import annotations

from functools import cache

from brinefront._core import Water

__all__ = ["dissolved_solids_mg_per_l", "g_per_eq"]

ANIONS = ("Cl", "HCO3", "SO4", "NO3")


@cache
def g_per_eq(ion: str) -> float:
    """Mass of one equivalent of an ion [g/eq]."""
    water = Water({ion: 1000.0}, "mg/L", balance="Na" if ion in ANIONS else "Cl")
    return 1.0 / water.eq_per_l[ion]


def dissolved_solids_mg_per_l(water: Water) -> float:
    """The mass of all ions of a water, charges balanced [mg/L]; hydrogen carbonate counts whole."""
    return sum(1000.0 * eq * g_per_eq(ion) for ion, eq in water.eq_per_l.items())
