"""The reference integrator itself, against closed forms it does not use.

Not a check of the package: it shows that what the package is held to is right.
"""

from __future__ import annotations

import numpy as np
import pytest
import reference_column
from curves import stoichiometric_volume
from scipy.stats import ncx2

VOID_FRACTION = 0.38
DEPTH_M = 0.9


def _column(
    ions: tuple[str, ...],
    selectivity: tuple[float, ...],
    *,
    film_per_s: float = 0.1,
    bead_per_s: float = 0.006,
    dispersion_m2_per_s: float = 1e-12,
    flow_bv_per_h: float = 20.0,
    cells: int = 200,
) -> reference_column.Column:
    return reference_column.Column(
        ions=ions,
        selectivity=selectivity,
        capacity_eq_per_l=2.0,
        void_fraction=VOID_FRACTION,
        depth_m=DEPTH_M,
        film_per_s=film_per_s,
        bead_per_s=bead_per_s,
        dispersion_m2_per_s=dispersion_m2_per_s,
        flow_bv_per_h=flow_bv_per_h,
        cells=cells,
    )


@pytest.mark.parametrize(
    ("peclet", "expected"),
    [(5, 0.6025011), (10, 0.5803327), (20, 0.5598892), (50, 0.5390885)],
)
def test_total_normality_is_a_danckwerts_tracer(peclet: float, expected: float) -> None:
    """N at one void volume in a closed-closed column, while the bed exchanges.

    Source: H. Brenner (1962), Chem. Eng. Sci. 17, 229, evaluated by its eigenvalue
    series and by Laplace inversion, which agree to the digits given (computed).
    """
    flow = 3.0
    interstitial = flow * DEPTH_M / 3600.0 / VOID_FRACTION
    column = _column(
        ("Na", "Ca"),
        (1.0, 2.6),
        dispersion_m2_per_s=interstitial * DEPTH_M / peclet,
        flow_bv_per_h=flow,
    )
    loading = np.array([0.8, 1.2])
    run = reference_column.run(
        column,
        feed=[1.2, 0.0],
        liquid=reference_column.liquid_at_equilibrium(column, loading, 0.01),
        loading=loading,
        volume_bv=0.5,
    )
    step = (run.effluent["Na"] + run.effluent["Ca"] - 0.01) / (1.2 - 0.01)
    assert np.interp(VOID_FRACTION, run.bv, step) == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(("film_per_s", "bead_per_s"), [(0.1, 10.0), (0.2, 1e-3), (1e3, 5e-4)])
def test_equal_affinity_gives_the_j_function(film_per_s: float, bead_per_s: float) -> None:
    """Film, both and bead in control: c = J(x, y), see `test_closed_forms`.

    Source: N. K. Hiester, T. Vermeulen (1952), Chem. Eng. Prog. 48, 505 (from memory),
    by the identity J(x, y) = ncx2.sf(2 x, 2, 2 y) in SciPy.
    """
    normality, feed = 0.01, 0.006
    column = _column(("Na", "K"), (1.0, 1.0), film_per_s=film_per_s, bead_per_s=bead_per_s)
    run = reference_column.run(
        column,
        feed=[normality - feed, feed],
        liquid=[normality, 0.0],
        loading=[column.capacity_eq_per_l, 0.0],
        volume_bv=500.0,
    )
    ratio = normality / column.capacity_eq_per_l
    units = DEPTH_M / column.velocity_m_per_s
    units /= 1.0 / film_per_s + ratio / bead_per_s
    passed = units * ratio * np.maximum(run.bv - VOID_FRACTION, 0.0)
    expected = ncx2.sf(2.0 * units, 2, 2.0 * passed)
    after = run.bv > VOID_FRACTION
    np.testing.assert_allclose(run.effluent["K"][after] / feed, expected[after], atol=5e-5)


def test_front_lies_where_the_balance_puts_it() -> None:
    """Ca on a sodium bed: eps + 387.80 BV.

    Source: shock balance BV = eps + Q dY/(N dX) with Y = 0.96950 at X = 0.5, K = 2.606,
    Q = 2.0 eq/L, N = 0.01 eq/L (computed).
    """
    column = _column(("Na", "Ca"), (1.0, 2.606), cells=100)
    run = reference_column.run(
        column,
        feed=[0.005, 0.005],
        liquid=[0.01, 0.0],
        loading=[2.0, 0.0],
        volume_bv=600.0,
    )
    found = stoichiometric_volume(run.bv, run.effluent["Ca"], 0.005)
    assert found == pytest.approx(VOID_FRACTION + 387.80, rel=1e-4)


def test_rates_meet_at_the_interface() -> None:
    """Both rates agree, kf (C - C*) = kb (q* - q), and so does their derivative."""
    rng = np.random.default_rng(20240229)
    column = _column(("Na", "Mg", "Ca"), (1.0, 1.66, 2.6), cells=6)
    liquid = 0.01 * rng.random((6, 3))
    loading = rng.random((6, 3))
    loading *= column.capacity_eq_per_l / loading.sum(axis=1, keepdims=True)

    at = reference_column.interface(column, liquid, loading)
    gained = reference_column.exchange(column, liquid, loading)
    for cell in range(6):
        surface = at.normality[cell] * at.fraction[cell]
        held = reference_column.loading_at_equilibrium(column, surface)
        np.testing.assert_allclose(column.bead_per_s * (held - loading[cell]), gained[cell], rtol=1e-8)

    jacobian = reference_column.exchange_jacobian(column, liquid, loading)
    for phase, size in enumerate((0.01, 2.0)):
        for ion in range(3):
            step = np.zeros(3)
            step[ion] = 1e-6 * size
            shift = [step if phase == moved else 0.0 * step for moved in (0, 1)]
            ahead = reference_column.exchange(column, liquid + shift[0], loading + shift[1])
            back = reference_column.exchange(column, liquid - shift[0], loading - shift[1])
            np.testing.assert_allclose(
                (ahead - back) / (2.0 * step[ion]),
                jacobian[:, :, phase, ion],
                rtol=1e-4,
                atol=1e-6 * np.abs(jacobian[:, :, phase, :]).max(),
            )
