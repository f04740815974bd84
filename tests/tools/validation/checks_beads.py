"""Diffusion inside the beads against closed forms of a column."""

from __future__ import annotations

from collections.abc import Iterator

import brinefront as bf
import numpy as np
from registry import Figure, Plot, Series, Size, Source, check, near

CAPACITY, VOID, NORMALITY, BV_PER_H = 2.0, 0.38, 0.010, 20.0
ROSEN = Source(
    "J. B. Rosen (1952), J. Chem. Phys. 20, 387 (form from memory): his integral and Laplace inversion agree",
    "computed",
)
# c/c0 at T = 3 tau/x of 0.5, 0.75, 1, 1.25, 1.5, by (x, nu).
ROSEN_T = np.array([0.5, 0.75, 1.0, 1.25, 1.5])
ROSEN_ROWS = {
    (5.0, 0.0): (0.015578, 0.191964, 0.540569, 0.819160, 0.947393),
    (20.0, 0.0): (3.6432e-6, 0.0283696, 0.520183, 0.953519, 0.999042),
    (20.0, 0.5): (0.0158568, 0.173183, 0.527378, 0.830329, 0.960389),
    (20.0, 2.0): (0.133787, 0.328635, 0.547282, 0.730849, 0.856555),
}


@check("Beads")
def rosens_curves(size: Size) -> Iterator[Figure | Plot]:
    """Potassium onto sodium at equal affinity, diffusion in radial beads behind a film."""
    ratio, seconds_per_bv = CAPACITY / NORMALITY, 3600.0 / BV_PER_H
    series = []
    for (x, nu), row in ROSEN_ROWS.items():
        diffusion = x / (3.0 * ratio * seconds_per_bv)
        case = bf.Case(
            bf.Water({"K": 1e3 * NORMALITY}, unit="meq/L", temperature_c=20.0),
            bf.Resin(CAPACITY, {"K": 1.0}, void_fraction=VOID),
            bf.Bed(depth_m=0.9, diameter_m=0.3),
            bf.Service(flow_bv_per_h=BV_PER_H, volume_bv=100.0),
            bf.Regeneration(direction="co-current", dose_g_per_l=100.0, strength_percent=10.0),
            rates=bf.Rates(
                film_per_s=3.0 * ratio * diffusion / nu if nu else 1e6,
                bead_per_s=15.0 * diffusion,
                dispersion_m2_per_s=0.0,
            ),
            kinetics="radial",
            cells=4 * size.cells,
        )
        run = case.load(from_loading={"Na": 1.0}, volume_bv=VOID + 1.6 * ratio).effluent()
        time = (run["bv"] - VOID) * seconds_per_bv * diffusion * 3.0 / x
        found = np.interp(ROSEN_T, time, run["K"] / NORMALITY)
        worst = int(np.argmax(np.abs(found - row)))
        yield near(
            f"x {x:.0f}, nu {nu}: c/c0, worst of five (T = {ROSEN_T[worst]})",
            "",
            float(found[worst]),
            row[worst],
            4e-3 if size.quick else 2e-3,
            ROSEN,
        )
        series.append(Series(f"x {x:.0f}, nu {nu}", list(time), list(run["K"] / NORMALITY)))
        series.append(Series(f"Rosen, {x:.0f}, {nu}", list(ROSEN_T), list(row), points=True))
    yield Plot("rosen", "Breakthrough where beads and film resist", "T", "c/c0", series)
