"""Equilibrium theory: its waves against closed forms and against columns in equilibrium."""

from __future__ import annotations

from collections.abc import Iterator

import brinefront as bf
import numpy as np
from registry import Figure, Plot, Series, Size, Source, band, check, near

HELFFERICH = Source(
    "F. Helfferich, G. Klein (1970), Multicomponent Chromatography (from memory): balance of a wave; computed",
    "computed",
)
WELGE = Source("H. J. Welge (1952), tangent construction (second-hand), evaluated for the isotherm", "computed")
ALGEBRA = Source("algebra of the mass-action law", "derived")
SELECTIVITY, CAPACITY, VOID = 2.606, 2.0, 0.38
BRINE_EQ_PER_L = 1.2


def _case(cells: int, **changes: object) -> bf.Case:
    """Give a column of one divalent cation, in equilibrium, without dispersion."""
    case = bf.Case(
        bf.Water({"Na": 5.0, "Ca": 5.0}, unit="meq/L", temperature_c=20.0),
        bf.Resin(CAPACITY, {"Ca": SELECTIVITY}, void_fraction=VOID),
        bf.Bed(depth_m=0.9, diameter_m=0.3),
        bf.Service(flow_bv_per_h=20.0, limit_mg_per_l_caco3=17.0),
        bf.Regeneration(
            direction="counter-current",
            dose_g_per_l=120.0,
            strength_percent=10.0,
            slow_rinse_bv=VOID,
            fast_rinse_bv=0.0,
        ),
        rates=bf.Rates(dispersion_m2_per_s=0.0),
        cells=cells,
        kinetics="equilibrium",
    )
    return case.replace({name.replace("__", "."): value for name, value in changes.items()}) if changes else case


def _resin(x: np.ndarray, normality: float) -> np.ndarray:
    """Y of the closed quadratic, written apart from the package."""
    ratio = SELECTIVITY * CAPACITY / normality
    a = ratio * x / np.maximum(1.0 - x, 1e-300) ** 2
    return np.where(x < 1.0, 1.0 - (np.sqrt(4.0 * a + 1.0) - 1.0) / np.maximum(2.0 * a, 1e-300), 1.0)


@check("Waves")
def wave_speeds(size: Size) -> Iterator[Figure | Plot]:
    """Throughputs at which waves leave: shock, change of normality, reversal."""
    found = bf.waves(_case(10))
    yield near("Y_Ca beside the feed, C 0.01 eq/L, X 0.5", "", found.feed_resin_fraction, 0.96950, 0.6e-5, ALGEBRA)
    yield near("shock through a sodium bed", "BV", found.front_bv, VOID + 387.80, 6e-3, HELFFERICH)
    yield near("normality of reversal, K Q", "eq/L", found.reversal_eq_per_l, 5.212, 1e-9, ALGEBRA)
    strong = bf.waves(_case(10, water__ions={"Na": 2606.0, "Ca": 2606.0}))
    yield near("separation factor at N = K Q", "", strong.separation_factor_feed, 1.0, 1e-9, ALGEBRA)
    lines = found.lines()
    first = lines[(lines["step"] == 0) & (lines["kind"] == "concentration")]
    yield near("change of normality leaves", "BV", float(first["to_bv"].max()), VOID, 1e-9, HELFFERICH)


@check("Waves")
def fan_of_an_elution(size: Size) -> Iterator[Figure | Plot]:
    """Brine through a loaded bed: each value of the fan leaves when its speed says."""
    effluent = _case(size.cells).elute(from_loading="feed", volume_bv=8.0, normality_eq_per_l=BRINE_EQ_PER_L).effluent()
    share = effluent["Ca"].to_numpy() / BRINE_EQ_PER_L
    bv = effluent["bv"].to_numpy()
    after = bv > 1.0
    x = np.linspace(0.005, 0.88, 176)
    step = 1e-6
    slope = (_resin(x + step, BRINE_EQ_PER_L) - _resin(x - step, BRINE_EQ_PER_L)) / (2.0 * step)
    leaves = VOID + CAPACITY / BRINE_EQ_PER_L * slope
    for value in (0.1, 0.35, 0.65):
        theirs = float(np.interp(value, x, leaves))
        ours = float(np.interp(-value, -share[after], bv[after]))
        yield near(f"X = {value} leaves", "BV", ours, theirs, (2e-2 if size.quick else 8e-3) * theirs, HELFFERICH)
    yield Plot(
        "fan",
        "Elution of a loaded bed, 1.2 eq/L",
        "BV",
        "X_Ca",
        [
            Series(f"{size.cells} cells, equilibrium", list(bv), list(share)),
            Series("fan", list(leaves[::8]), list(x[::8]), points=True),
        ],
    )


@check("Waves")
def efficiency_ceiling(size: Size) -> Iterator[Figure | Plot]:
    """The efficiency that equilibrium allows: closed form, and columns that come to it from below."""
    dose, g_per_eq = 120.0, 58.443
    case = _case(size.cells)
    brine = bf.waves(case).brine_normality_eq_per_l
    # The brine's own water adds its ions to the salt.
    salt = dose / g_per_eq * brine / (brine - 0.010)
    x = np.linspace(1e-9, 0.9999, 400_000)
    y = _resin(x, brine)
    loaded = float(_resin(np.array([0.5]), 0.010)[0])
    arrival = CAPACITY * np.gradient(y, x)
    x1 = float(np.interp(-salt, -arrival, x))
    driven = CAPACITY * (loaded - float(np.interp(x1, x, y))) + salt * x1
    theirs = (driven + VOID * 0.005) / (dose / g_per_eq)
    ceiling = bf.efficiency_ceiling(case, [dose]).set_index("direction")["salt_efficiency_fraction"]
    for direction, ours in ceiling.items():
        yield near(f"ceiling {direction}, 120 g/L", "of stoichiometric", float(ours), theirs, 1e-4, WELGE)
    cells = [25, 50] if size.quick else [50, 100, 200]
    reached = [float(_case(n).cycle().salt_efficiency_fraction) for n in cells]
    for n, ours in zip(cells, reached, strict=True):
        # Fronts on cells are off by the first power of their size: 0.4 to 1 % on 100 here.
        yield band(
            f"counter-current column, {n} cells", "of stoichiometric", ours, theirs * (1 - 1.5 / n), theirs, WELGE
        )
    doses = np.linspace(30.0, 240.0, 22)
    table = bf.efficiency_ceiling(case, list(doses))
    counter = table[table["direction"] == "counter-current"]["salt_efficiency_fraction"]
    yield Plot(
        "ceiling",
        "Salt efficiency that equilibrium allows, calcium water of 0.01 eq/L",
        "dose, g/L of resin",
        "of stoichiometric",
        [Series("ceiling", list(doses), list(counter)), Series("columns", [dose] * len(cells), reached, points=True)],
    )
