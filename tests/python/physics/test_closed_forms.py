"""Single runs against closed forms: tracer, linear exchange, constant pattern, leakage.

Left out: the flux concentration of a long column against Ogata and Banks. It needs the
liquid along the bed, which a run does not give out; the tracer here is the finite
column, whose outlet it does.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import brinefront as bf
import numpy as np
import pytest
from curves import stoichiometric_volume, volume_at
from numpy.typing import NDArray
from scipy.stats import ncx2

Array = NDArray[np.float64]

CAPACITY_EQ_PER_L = 2.0
VOID_FRACTION = 0.38
DEPTH_M = 0.9
SERVICE_BV_PER_H = 20.0
BRINE_BV_PER_H = 3.0
BRINE_EQ_PER_L = 1.2
# Seconds the service water takes for one bed volume.
SERVICE_S_A_BV = 3600.0 / SERVICE_BV_PER_H
NO_DISPERSION_M2_PER_S = 1e-12


def _case(
    water_meq_per_l: dict[str, float],
    selectivity: dict[str, float],
    *,
    film_per_s: float,
    bead_per_s: float,
    dispersion_m2_per_s: float = NO_DISPERSION_M2_PER_S,
    cells: int = 200,
    kinetics: str = "lumped",
) -> bf.Case:
    """Give a bed whose every parameter the closed forms know."""
    return bf.Case(
        bf.Water(water_meq_per_l, unit="meq/L", temperature_c=20.0),
        bf.Resin(
            capacity_eq_per_l=CAPACITY_EQ_PER_L,
            selectivity=selectivity,
            bead_diameter_mm=0.6,
            void_fraction=VOID_FRACTION,
        ),
        bf.Bed(depth_m=DEPTH_M, diameter_m=0.3),
        bf.Service(flow_bv_per_h=SERVICE_BV_PER_H, volume_bv=100.0),
        bf.Regeneration(
            direction="co-current",
            salt="NaCl",
            dose_g_per_l=100.0,
            strength_percent=10.0,
            flow_bv_per_h=BRINE_BV_PER_H,
        ),
        rates=bf.Rates(
            film_per_s=film_per_s,
            bead_per_s=bead_per_s,
            dispersion_m2_per_s=dispersion_m2_per_s,
        ),
        cells=cells,
        kinetics=kinetics,
    )


# (N - N0)/(N1 - N0) at T = BV/eps, rows by Pe = v L/D: a step into a finite column
# closed at both ends. Source: H. Brenner (1962), Chem. Eng. Sci. 17, 229; the paper's
# tables were not seen, the values are computed by its eigenvalue series and by Laplace
# inversion, which agree to the digits given.
BRENNER_T = np.array([0.5, 0.75, 1.0, 1.25, 1.5, 2.0])
BRENNER = {
    5.0: (0.1568059, 0.3968155, 0.6025011, 0.7474312, 0.8421937, 0.9396013),
    10.0: (0.0681142, 0.3118168, 0.5803327, 0.7706260, 0.8820557, 0.9715277),
    20.0: (0.0151488, 0.2128510, 0.5598892, 0.8118167, 0.9319101, 0.9932153),
    50.0: (2.423482e-4, 0.0858047, 0.5390885, 0.8911931, 0.9849729, 0.9998849),
}


@pytest.mark.parametrize("loading", [{"Na": 1.0}, {"Na": 0.4, "Ca": 0.6}])
@pytest.mark.parametrize("peclet", BRENNER)
def test_total_normality_is_a_tracer(peclet: float, loading: dict[str, float]) -> None:
    """Brine into dilute water, on a bed that exchanges nothing and on one that does."""
    interstitial = BRINE_BV_PER_H * DEPTH_M / 3600.0 / VOID_FRACTION
    case = _case(
        {"Na": 6.0, "Ca": 4.0},
        {"Ca": 2.6},
        film_per_s=0.1,
        bead_per_s=0.006,
        dispersion_m2_per_s=interstitial * DEPTH_M / peclet,
    )
    run = case.elute(
        from_loading=loading,
        volume_bv=2.1 * VOID_FRACTION,
        normality_eq_per_l=BRINE_EQ_PER_L,
    )
    effluent = run.effluent()
    before = 0.010
    total = effluent["Na"].to_numpy() + effluent["Ca"].to_numpy()
    step = (total - before) / (BRINE_EQ_PER_L - before)
    found = np.interp(BRENNER_T * VOID_FRACTION, effluent["bv"], step)
    np.testing.assert_allclose(found, BRENNER[peclet], rtol=0.0, atol=1e-3)


@pytest.mark.parametrize(
    ("film_per_s", "bead_per_s"),
    [(0.1, 10.0), (0.2, 1e-3), (100.0, 5e-4)],
    ids=["film", "both", "bead"],
)
def test_equal_affinity_gives_the_j_function(film_per_s: float, bead_per_s: float) -> None:
    """Potassium onto a sodium bed with K = 1: exchange is linear, and c/c0 = J(x, y).

    With q* = (Q/N) C* the two resistances add up to one on the liquid side,
    1/k = 1/kf + N/(Q kb), and in the time T = t - eps z/u since the water first came
    by, u dC/dz = -k (C - q N/Q) = -dq/dT. So x = k L/u, and y = k T N/Q with T =
    (BV - eps) L/u: the void hold-up delays the curve by eps.

    Source: N. K. Hiester, T. Vermeulen (1952), Chem. Eng. Prog. 48, 505 (from memory);
    J(x, y) = ncx2.sf(2 x, 2, 2 y) in SciPy, an identity checked by quadrature.
    """
    case = _case({"Na": 4.0, "K": 6.0}, {"K": 1.0}, film_per_s=film_per_s, bead_per_s=bead_per_s)
    effluent = case.load(from_loading={"Na": 1.0}, volume_bv=450.0).effluent()

    normality = 0.010
    ratio = normality / CAPACITY_EQ_PER_L
    units = SERVICE_S_A_BV / (1.0 / film_per_s + ratio / bead_per_s)
    bv = np.linspace(20.0, 440.0, 85)
    expected = ncx2.sf(2.0 * units, 2, 2.0 * units * ratio * (bv - VOID_FRACTION))
    found = np.interp(bv, effluent["bv"], effluent["K"] / 0.006)
    np.testing.assert_allclose(found, expected, rtol=0.0, atol=2e-3)


def _film_pattern(x: Array, r: float) -> Array:
    """Give (kf N/Q)(t - t_s) at liquid fraction x, film in control."""
    return (np.log(x) - r * np.log1p(-x)) / (1.0 - r) + 1.0


def _bead_pattern(x: Array, r: float) -> Array:
    """Give kb (t - t_s) at liquid fraction x, bead in control."""
    return (r * np.log(x) - np.log1p(-x)) / (1.0 - r) - 1.0


@pytest.mark.parametrize(
    ("film_per_s", "bead_per_s", "rate_per_s", "pattern"),
    [
        (0.4, 10.0, 0.4 * 0.010 / CAPACITY_EQ_PER_L, _film_pattern),
        (100.0, 0.002, 0.002, _bead_pattern),
    ],
    ids=["film", "bead"],
)
def test_favourable_front_in_a_deep_bed(
    film_per_s: float,
    bead_per_s: float,
    rate_per_s: float,
    pattern: Callable[[Array, float], Array],
) -> None:
    """Potassium five times preferred onto a sodium bed, 72 transfer units deep.

    In a front that keeps its shape y = x, void or no void, so dx/dt is the rate law
    with y = x in it. r = 1/alpha is constant since both ions have one charge. Each form
    is shifted so that its mean over x is nothing: t_s is then the time of the sharp
    front that holds as much, (eps + Q/N) BV.

    Source: rate laws integrated here; the forms are those of T. Vermeulen's chapter in
    Perry's Chemical Engineers' Handbook, sec. 16 (from memory).
    """
    alpha, normality = 5.0, 0.010
    case = _case(
        {"K": 1e3 * normality},
        {"K": alpha},
        film_per_s=film_per_s,
        bead_per_s=bead_per_s,
        cells=400,
    )
    effluent = case.load(from_loading={"Na": 1.0}, volume_bv=300.0).effluent()
    bv, x = effluent["bv"].to_numpy(), effluent["K"].to_numpy() / normality

    sharp_bv = VOID_FRACTION + CAPACITY_EQ_PER_L / normality
    assert stoichiometric_volume(bv, x, 1.0) == pytest.approx(sharp_bv, rel=1e-3)

    seconds = {level: SERVICE_S_A_BV * volume_at(bv, x, level, rising=True) for level in (0.1, 0.5, 0.9)}
    expected = dict(
        zip(
            seconds,
            pattern(np.array(list(seconds)), 1.0 / alpha) / rate_per_s,
            strict=True,
        )
    )
    for first, last in ((0.1, 0.5), (0.5, 0.9)):
        assert seconds[last] - seconds[first] == pytest.approx(expected[last] - expected[first], rel=0.015)
    assert seconds[0.5] == pytest.approx(SERVICE_S_A_BV * sharp_bv + expected[0.5], rel=2e-3)


@pytest.mark.parametrize("kinetics", ["equilibrium", "lumped"])
def test_front_lies_where_the_balance_puts_it(kinetics: str) -> None:
    """Calcium on a sodium bed breaks through at eps + 387.80 BV on the mean.

    Source: shock balance BV = eps + Q dY/(N dX) (F. Helfferich, G. Klein 1970,
    Multicomponent Chromatography, from memory), with Y = 0.96950 in equilibrium with
    X = 0.5 at K = 2.606, Q = 2.0 eq/L, N = 0.01 eq/L (computed).
    """
    case = _case(
        {"Na": 5.0, "Ca": 5.0},
        {"Ca": 2.606},
        film_per_s=0.2,
        bead_per_s=0.006,
        dispersion_m2_per_s=2e-6,
        kinetics=kinetics,
    )
    effluent = case.load(from_loading={"Na": 1.0}, volume_bv=600.0).effluent()
    found = stoichiometric_volume(effluent["bv"], effluent["Ca"], 0.005)
    assert found == pytest.approx(VOID_FRACTION + 387.80, rel=1e-3)


def _equilibrium_leakage(loading: float, normality: float, selectivity: float) -> float:
    """Give Ca [eq/L] of the water that leaves resin at equivalent fraction `loading`.

    y/(1 - y)^2 = s with s = X/(1 - X)^2 N/(K Q), the smaller root of its quadratic,
    in the form that loses no digits at small s.
    """
    s = loading / (1.0 - loading) ** 2 * normality / (selectivity * CAPACITY_EQ_PER_L)
    return normality * 2.0 * s / (1.0 + 2.0 * s + math.sqrt(1.0 + 4.0 * s))


def test_leakage_goes_with_normality_squared() -> None:
    """A bed at X_Ca = 0.1 throughout leaks X/(1 - X)^2 N^2/(K Q).

    That form takes y for small; it is too high by 2 y, here at most 0.1 %, and the
    exact quadratic stands in for it.

    Source: mass action at the outlet layer, derived; F. Helfferich (1962), Ion
    Exchange (the law, from memory).
    """
    held, selectivity = 0.1, 2.606
    normalities = np.array([2.5e-3, 5e-3, 10e-3, 20e-3])
    leakage = []
    for normality in normalities:
        half = 0.5e3 * normality
        case = _case(
            {"Na": half, "Ca": half},
            {"Ca": selectivity},
            film_per_s=5.0,
            bead_per_s=0.5,
            dispersion_m2_per_s=2e-6,
        )
        effluent = case.load(from_loading={"Na": 1.0 - held, "Ca": held}, volume_bv=3.0).effluent()
        # The void's own liquid is out at eps; twice that leaves dispersion behind.
        shortly_after = np.linspace(2.0 * VOID_FRACTION, 2.0, 20)
        leakage.append(np.interp(shortly_after, effluent["bv"], effluent["Ca"]).mean())

    expected = [_equilibrium_leakage(held, n, selectivity) for n in normalities]
    np.testing.assert_allclose(leakage, expected, rtol=0.01)
    slope = np.polyfit(np.log(normalities), np.log(leakage), 1)[0]
    assert slope == pytest.approx(2.0, abs=0.02)
