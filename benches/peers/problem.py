"""The softener that every contestant runs, and the numbers that its equations need."""

from __future__ import annotations

from dataclasses import dataclass

import brinefront as bf
import equations
import numpy as np
from equations import IONS, Array

#: Common practice, no source: a hard water, a gel resin, rates that are given so that nothing is left to correlations.
WATER_MG_PER_L = {"Ca": 80.0, "Mg": 24.0, "Na": 60.0}
SELECTIVITY = {"Na": 1.0, "Mg": 1.66, "Ca": 2.6}
CAPACITY_EQ_PER_L = 1.9
VOID_FRACTION = 0.38
DEPTH_M = 0.9
FILM_PER_S, BEAD_PER_S, DISPERSION_M2_PER_S = 0.1, 0.006, 2e-6
SERVICE_BV_PER_H, LIMIT_MG_PER_L_CACO3 = 20.0, 17.0
BRINE_BV_PER_H, SLOW_RINSE_BV = 3.0, 1.5
FAST_RINSE_BV, FAST_RINSE_BV_PER_H = 3.0, 12.0
DIRECTIONS = ("counter-current", "co-current")
#: A single loading run ends on volume: past the breakthrough of both hard ions.
LOADING_BV = 600.0

S_PER_H = 3600.0


def case(direction: str, cells: int, tolerance: float | None = None) -> bf.Case:
    """The softener as a case of the package; a co-current recipe turns the bed over."""
    return bf.Case(
        bf.Water(WATER_MG_PER_L, unit="mg/L", temperature_c=15.0),
        bf.Resin(
            capacity_eq_per_l=CAPACITY_EQ_PER_L,
            selectivity={ion: SELECTIVITY[ion] for ion in ("Mg", "Ca")},
            bead_diameter_mm=0.6,
            void_fraction=VOID_FRACTION,
            bead_diffusivity_m2_per_s=1.5e-11,
        ),
        bf.Bed(depth_m=DEPTH_M, diameter_m=0.3),
        bf.Service(flow_bv_per_h=SERVICE_BV_PER_H, limit_mg_per_l_caco3=LIMIT_MG_PER_L_CACO3),
        bf.Regeneration(
            direction=direction,
            salt="NaCl",
            dose_g_per_l=96.0,
            strength_percent=10.0,
            flow_bv_per_h=BRINE_BV_PER_H,
            brine_water="soft",
            slow_rinse_bv=SLOW_RINSE_BV,
            fast_rinse_bv=FAST_RINSE_BV,
            fast_rinse_flow_bv_per_h=FAST_RINSE_BV_PER_H,
            backwash_mixing=1.0 if direction == "co-current" else 0.0,
        ),
        rates=bf.Rates(film_per_s=FILM_PER_S, bead_per_s=BEAD_PER_S, dispersion_m2_per_s=DISPERSION_M2_PER_S),
        cells=cells,
        kinetics="lumped",
        tolerance=tolerance,
    )


@dataclass(frozen=True)
class Waters:
    """What enters the bed, by ion in the order of `IONS` [eq/L], and the volume of the brine."""

    feed: Array
    soft: Array
    brine: Array
    brine_bv: float

    @classmethod
    def of_package(cls) -> Waters:
        """Feed, soft water and brine as the package makes them: they are inputs, not part of the contest."""
        one = case("counter-current", 20)
        first = one.cycles(1)[0]
        by_ion = one.water.eq_per_l
        feed = np.array([by_ion[ion] for ion in IONS])
        soft = np.array([feed.sum(), 0.0, 0.0])
        brine = soft + np.array([first.brine_normality_eq_per_l - feed.sum(), 0.0, 0.0])
        return cls(feed, soft, brine, first.brine_volume_bv)


def feed_hardness() -> float:
    """Mg + Ca of the feed [eq/L]."""
    by_ion = case("counter-current", 20).water.eq_per_l
    return by_ion["Mg"] + by_ion["Ca"]


def coefficients(cells: int, flow_bv_per_h: float, inlet: Array) -> Array:
    """The array that the compiled equations take, for one step of the recipe."""
    cell = DEPTH_M / cells
    k = np.empty(12)
    k[equations.VELOCITY] = flow_bv_per_h * DEPTH_M / S_PER_H
    k[equations.CONDUCTANCE] = VOID_FRACTION * DISPERSION_M2_PER_S / cell
    k[equations.VOID] = VOID_FRACTION
    k[equations.CELL] = cell
    k[equations.FILM] = 1.0 / FILM_PER_S
    k[equations.BEAD] = 1.0 / BEAD_PER_S
    k[equations.CAPACITY] = CAPACITY_EQ_PER_L
    k[equations.K_MG], k[equations.K_CA] = SELECTIVITY["Mg"], SELECTIVITY["Ca"]
    k[equations.IN_NA : equations.IN_CA + 1] = inlet
    return k
