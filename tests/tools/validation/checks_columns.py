"""Single runs against closed forms."""

from __future__ import annotations

from collections.abc import Iterator

import brinefront as bf
import numpy as np
from registry import Figure, Plot, Series, Size, Source, check, near
from scipy.stats import ncx2

CAPACITY, VOID, DEPTH_M = 2.0, 0.38, 0.9
SERVICE_BV_PER_H, BRINE_BV_PER_H, BRINE_EQ_PER_L = 20.0, 3.0, 1.2
BRENNER = Source(
    "H. Brenner (1962), Chem. Eng. Sci. 17, 229: eigenvalue series and Laplace inversion agree", "computed"
)
HIESTER = Source("N. K. Hiester, T. Vermeulen (1952), Chem. Eng. Prog. 48, 505 (from memory); J by SciPy", "computed")
HELFFERICH = Source(
    "F. Helfferich, G. Klein (1970), Multicomponent Chromatography (from memory): shock balance", "computed"
)
# At T = BV/eps = 0.5, 0.75, 1.0, 1.25, 1.5, 2.0.
BRENNER_T = np.array([0.5, 0.75, 1.0, 1.25, 1.5, 2.0])
BRENNER_ROWS = {
    5.0: (0.1568059, 0.3968155, 0.6025011, 0.7474312, 0.8421937, 0.9396013),
    20.0: (0.0151488, 0.2128510, 0.5598892, 0.8118167, 0.9319101, 0.9932153),
    50.0: (2.423482e-4, 0.0858047, 0.5390885, 0.8911931, 0.9849729, 0.9998849),
}


def _case(water: dict[str, float], selectivity: dict[str, float], cells: int, **rates: float) -> bf.Case:
    return bf.Case(
        bf.Water(water, unit="meq/L", temperature_c=20.0),
        bf.Resin(CAPACITY, selectivity, bead_diameter_mm=0.6, void_fraction=VOID),
        bf.Bed(depth_m=DEPTH_M, diameter_m=0.3),
        bf.Service(flow_bv_per_h=SERVICE_BV_PER_H, volume_bv=100.0),
        bf.Regeneration(
            direction="co-current", dose_g_per_l=100.0, strength_percent=10.0, flow_bv_per_h=BRINE_BV_PER_H
        ),
        rates=bf.Rates(**rates),
        cells=cells,
    )


@check("Columns")
def tracer_in_a_finite_column(size: Size) -> Iterator[Figure | Plot]:
    """Total normality of brine entering dilute water, closed ends, by Peclet number."""
    speed = BRINE_BV_PER_H * DEPTH_M / 3600.0 / VOID
    series = []
    for peclet, row in BRENNER_ROWS.items():
        dispersion = speed * DEPTH_M / peclet
        case = _case(
            {"Na": 6.0, "Ca": 4.0},
            {"Ca": 2.6},
            2 * size.cells,
            film_per_s=0.1,
            bead_per_s=0.006,
            dispersion_m2_per_s=dispersion,
        )
        run = case.elute(from_loading={"Na": 0.4, "Ca": 0.6}, volume_bv=2.1 * VOID, normality_eq_per_l=BRINE_EQ_PER_L)
        effluent = run.effluent()
        step = (effluent["Na"] + effluent["Ca"] - 0.010) / (BRINE_EQ_PER_L - 0.010)
        found = np.interp(BRENNER_T * VOID, effluent["bv"], step)
        worst = int(np.argmax(np.abs(found - row)))
        yield near(
            f"Pe {peclet:.0f}, worst of six (T = {BRENNER_T[worst]})",
            "of the step",
            float(found[worst]),
            row[worst],
            3e-3 if size.quick else 1e-3,
            BRENNER,
        )
        series.append(Series(f"Pe {peclet:.0f}", list(effluent["bv"] / VOID), list(step)))
        series.append(Series(f"Brenner, Pe {peclet:.0f}", list(BRENNER_T), list(row), points=True))
    yield Plot("tracer", "Step of total normality through a bed", "void volumes", "fraction of the step", series)


@check("Columns")
def linear_exchange(size: Size) -> Iterator[Figure | Plot]:
    """Potassium onto sodium at equal affinity: the J function, film and bead in series."""
    film, bead, normality = 0.2, 1e-3, 0.010
    case = _case(
        {"Na": 4.0, "K": 6.0}, {"K": 1.0}, 2 * size.cells, film_per_s=film, bead_per_s=bead, dispersion_m2_per_s=1e-12
    )
    effluent = case.load(from_loading={"Na": 1.0}, volume_bv=450.0).effluent()
    ratio = normality / CAPACITY
    units = 3600.0 / SERVICE_BV_PER_H / (1.0 / film + ratio / bead)
    bv = np.linspace(20.0, 440.0, 85)
    expected = ncx2.sf(2.0 * units, 2, 2.0 * units * ratio * (bv - VOID))
    found = np.interp(bv, effluent["bv"], effluent["K"] / 0.006)
    worst = int(np.argmax(np.abs(found - expected)))
    yield near(
        f"c/c0, worst of 85 (at {bv[worst]:.0f} BV)",
        "",
        float(found[worst]),
        float(expected[worst]),
        5e-3 if size.quick else 2e-3,
        HIESTER,
    )
    yield Plot(
        "linear_exchange",
        "Breakthrough at equal affinity",
        "BV",
        "c/c0",
        [Series("ours", list(bv), list(found)), Series("J function", list(bv[::6]), list(expected[::6]), points=True)],
    )


@check("Columns")
def stoichiometric_front(size: Size) -> Iterator[Figure | Plot]:
    """Calcium onto sodium: the front lies where the balance puts it, whatever the rates."""
    case = _case(
        {"Na": 5.0, "Ca": 5.0}, {"Ca": 2.606}, size.cells, film_per_s=0.2, bead_per_s=0.006, dispersion_m2_per_s=2e-6
    )
    effluent = case.load(from_loading={"Na": 1.0}, volume_bv=600.0).effluent()
    bv, calcium = effluent["bv"].to_numpy(), effluent["Ca"].to_numpy()
    front = float(np.trapezoid(1.0 - calcium / 0.005, bv))
    yield near("mean breakthrough of calcium", "BV", front, VOID + 387.80, 0.4, HELFFERICH)
