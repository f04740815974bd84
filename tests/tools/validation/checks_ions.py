"""More ions than calcium, magnesium and sodium, and what brine and rinse do to a bed."""

from __future__ import annotations

from collections.abc import Iterator

import brinefront as bf
import numpy as np
from cases import rated, steady
from registry import Figure, Plot, Size, Source, band, check, near

EIGHT_PLANTS = Source(
    "eight full-scale softeners, Environ. Sci.: Water Res. Technol. (2023), d2ew00987k: abstract", "seen in part"
)
AFFINITY = Source("order of affinity Ba > Sr > Ca > Mg, US DOE Handbook 1015/2-93, ch. 4", "seen")
WEN_YU = Source(
    "C. Y. Wen, Y. H. Yu (1966), evaluated apart from the package for 0.6 mm beads of 1280 kg/m3", "derived"
)


def removed(cycle: bf.Cycle, ion: str) -> float:
    """Give the share of an ion that a run removes [%]."""
    leakage = cycle.leakage()
    bv, c = leakage["bv"].to_numpy(), leakage[ion].to_numpy()
    mean = float(np.sum(0.5 * (c[1:] + c[:-1]) * np.diff(bv)) / (bv[-1] - bv[0]))
    return float(100.0 * (1.0 - mean / cycle.case.water.eq_per_l[ion]))


@check("Leakage")
def strontium(size: Size) -> Iterator[Figure | Plot]:
    """Strontium in a softener's feed: removed with calcium, which it follows."""
    for direction in ("co-current", "counter-current"):
        case = rated(size, 8.0, direction)
        cycle = steady(case.replace({"water.ions": {**case.water.ions, "Sr": 1.0}}))
        ours, calcium = removed(cycle, "Sr"), removed(cycle, "Ca")
        yield band(
            f"strontium removed, {direction}, 8 lb/ft3",
            "%",
            ours,
            92.0,
            98.0,
            EIGHT_PLANTS,
            reason="doses and run lengths of the plants are not in what was read; the model's bed has no channels, no mixing of raw "
            "water and pure salt, and its run stops at 17 mg/L of hardness",
        )
        yield near(
            f"strontium less calcium removed, {direction}",
            "percentage points",
            ours - calcium,
            0.0,
            1.0,
            Source("strontium follows calcium: the same eight plants, abstract", "seen in part"),
        )
    y = bf.equilibrium({"Na": 1.2e-3, "Mg": 2e-3, "Ca": 4e-3, "Sr": 2e-5, "Ba": 2e-6}, "BonnerSmith1957", 1.8)
    solution = {"Mg": 2e-3, "Ca": 4e-3, "Sr": 2e-5, "Ba": 2e-6}
    distribution = [y[ion] / solution[ion] for ion in ("Mg", "Ca", "Sr", "Ba")]
    yield band(
        "least ratio of neighbours' loading over concentration, Mg to Ba",
        "",
        float(min(np.divide(distribution[1:], distribution[:-1]))),
        1.0,
        np.inf,
        AFFINITY,
    )


@check("Operation")
def brine_that_lifts_the_bed(size: Size) -> Iterator[Figure | Plot]:
    """Upward velocity from which 10 % brine lifts a bed that nothing holds."""
    case = rated(
        size,
        6.0,
        "counter-current",
        resin__bead_diameter_mm=0.6,
        bed__held_down=False,
        resin__wet_bead_kg_per_m3=1280.0,
    )
    steps = steady(case).steps().set_index("step")
    yield near(
        "10 % brine at 20 C lifts 0.6 mm beads from",
        "m/h",
        float(steps.loc["brine", "lifts_from_m_per_h"]),
        1.35,
        0.01,
        WEN_YU,
    )
    yield near(
        "water at 20 C lifts them from", "m/h", float(steps.loc["slow rinse", "lifts_from_m_per_h"]), 2.15, 0.01, WEN_YU
    )


@check("Operation")
def rinsing_with_hard_water(size: Size) -> Iterator[Figure | Plot]:
    """Fifty gallons a cubic foot of fast rinse more, on a water of 20 grains a gallon."""
    hard = bf.units.convert(20.0, "gr/gal", "mg/L CaCO3")
    more = bf.units.convert(50.0, "gal/ft3", "BV")
    water = {"Ca": 0.7 * hard, "Mg": 0.3 * hard, "Na": 50.0}
    capacity = {}
    for bv in (3.0, 3.0 + more):
        case = rated(size, 10.0, regeneration__fast_rinse_bv=bv)
        case = bf.Case(
            bf.Water(water, unit="mg/L CaCO3", temperature_c=20.0), case.resin, case.bed, case.service, case.regeneration,
            cells=size.cells,
        )  # fmt: skip
        capacity[bv] = steady(case).capacity_kgr_per_ft3
    yield near(
        "capacity lost to 50 gal/ft3 more of rinse at 20 gr/gal",
        "kgr/ft3",
        capacity[3.0] - capacity[3.0 + more],
        1.0,
        0.1,
        Source("rinse volume x hardness", "derived"),
        reason="the rinse regenerates a little more, and what it loads at the inlet is not all lost",
    )
