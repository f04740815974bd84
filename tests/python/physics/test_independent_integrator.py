"""Loading and elution of Na/Mg/Ca against an integrator written from the equations.

Source of every expected value: `reference_column`, solved here by SciPy's BDF from the
balance, rate and equilibrium equations with a discretisation of its own. Its grids are
the ones its head shows converged, and `test_reference_column` holds it to closed forms.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import brinefront as bf
import numpy as np
import pytest
import reference_column
from curves import peak, volume_at

if TYPE_CHECKING:
    import pandas as pd

# A hard water and a gel resin of common practice, no source. The rates are given, not
# correlated, so that both sides solve the same equations with the same numbers.
WATER_MG_PER_L = {"Ca": 80.0, "Mg": 24.0, "Na": 60.0}
SELECTIVITY = {"Mg": 1.66, "Ca": 2.6}
CAPACITY_EQ_PER_L = 1.9
VOID_FRACTION = 0.38
DEPTH_M = 0.9
FILM_PER_S = 0.1
BEAD_PER_S = 0.006
DISPERSION_M2_PER_S = 2e-6
SERVICE_BV_PER_H = 20.0
BRINE_BV_PER_H = 3.0
BRINE_EQ_PER_L = 1.2
LOADING_BV = 600.0
ELUTION_BV = 2.5

IONS = ("Na", "Mg", "Ca")
FEED_EQ_PER_L = np.array([reference_column.equivalents(WATER_MG_PER_L)[ion] for ion in IONS])
NORMALITY_EQ_PER_L = FEED_EQ_PER_L.sum()

# The reference is good to 0.005 % (0.03 % in the overshoot), so these bound the error
# of the package at CASE_CELLS cells. What asks for so many is the place of the elution
# peaks, which follow the brine's front: 1.7 % late on 100 cells, 0.7 % on 200.
VOLUME_TOLERANCE = 0.005
PEAK_TOLERANCE = 0.01
CASE_CELLS = 300

Curve = dict[str, np.ndarray]


def _column(flow_bv_per_h: float, cells: int) -> reference_column.Column:
    return reference_column.Column(
        ions=IONS,
        selectivity=(1.0, SELECTIVITY["Mg"], SELECTIVITY["Ca"]),
        capacity_eq_per_l=CAPACITY_EQ_PER_L,
        void_fraction=VOID_FRACTION,
        depth_m=DEPTH_M,
        film_per_s=FILM_PER_S,
        bead_per_s=BEAD_PER_S,
        dispersion_m2_per_s=DISPERSION_M2_PER_S,
        flow_bv_per_h=flow_bv_per_h,
        cells=cells,
    )


def _with_hardness(bv: np.ndarray, effluent: Curve | pd.DataFrame) -> Curve:
    curve = {ion: np.asarray(effluent[ion], dtype=float) for ion in IONS}
    return curve | {"bv": np.asarray(bv), "hardness": curve["Ca"] + curve["Mg"]}


def _package_curve(effluent: pd.DataFrame) -> Curve:
    return _with_hardness(effluent["bv"].to_numpy(), effluent)


@pytest.fixture(scope="session")
def reference_loading() -> Curve:
    """Feed on a bed in the sodium form."""
    column = _column(SERVICE_BV_PER_H, cells=200)
    sodium = np.array([1.0, 0.0, 0.0])
    run = reference_column.run(
        column,
        feed=FEED_EQ_PER_L,
        liquid=NORMALITY_EQ_PER_L * sodium,
        loading=CAPACITY_EQ_PER_L * sodium,
        volume_bv=LOADING_BV,
    )
    return _with_hardness(run.bv, run.effluent)


@pytest.fixture(scope="session")
def reference_elution() -> Curve:
    """Brine on a bed in equilibrium with the feed."""
    column = _column(BRINE_BV_PER_H, cells=600)
    run = reference_column.run(
        column,
        feed=[BRINE_EQ_PER_L, 0.0, 0.0],
        liquid=FEED_EQ_PER_L,
        loading=reference_column.loading_at_equilibrium(column, FEED_EQ_PER_L),
        volume_bv=ELUTION_BV,
    )
    return _with_hardness(run.bv, run.effluent)


@pytest.fixture(scope="session")
def case() -> bf.Case:
    """Give the same bed to the package."""
    return bf.Case(
        bf.Water(WATER_MG_PER_L, unit="mg/L", temperature_c=15.0),
        bf.Resin(
            capacity_eq_per_l=CAPACITY_EQ_PER_L,
            selectivity=SELECTIVITY,
            bead_diameter_mm=0.6,
            void_fraction=VOID_FRACTION,
            bead_diffusivity_m2_per_s=1.5e-11,
        ),
        bf.Bed(depth_m=DEPTH_M, diameter_m=0.3),
        bf.Service(flow_bv_per_h=SERVICE_BV_PER_H, limit_mg_per_l_caco3=17.0),
        bf.Regeneration(
            direction="counter-current",
            salt="NaCl",
            dose_g_per_l=96.0,
            strength_percent=10.0,
            flow_bv_per_h=BRINE_BV_PER_H,
            brine_water="soft",
            slow_rinse_bv=1.5,
            fast_rinse_bv=3.0,
            fast_rinse_flow_bv_per_h=12.0,
            backwash_mixing=0.0,
        ),
        rates=bf.Rates(
            film_per_s=FILM_PER_S,
            bead_per_s=BEAD_PER_S,
            dispersion_m2_per_s=DISPERSION_M2_PER_S,
        ),
        cells=CASE_CELLS,
        kinetics="lumped",
    )


@pytest.fixture(scope="session")
def loading(case: bf.Case) -> Curve:
    """Load the package's bed from the sodium form."""
    run = case.load(from_loading={"Na": 1.0}, volume_bv=LOADING_BV)
    return _package_curve(run.effluent())


@pytest.fixture(scope="session")
def elution(case: bf.Case) -> Curve:
    """Elute the package's bed from equilibrium with the feed."""
    run = case.elute(from_loading="feed", volume_bv=ELUTION_BV, normality_eq_per_l=BRINE_EQ_PER_L)
    return _package_curve(run.effluent())


@pytest.mark.parametrize("fraction", [0.05, 0.1, 0.25, 0.5, 0.75])
@pytest.mark.parametrize("ion", ["Ca", "Mg", "hardness"])
def test_breakthrough_volume(loading: Curve, reference_loading: Curve, ion: str, fraction: float) -> None:
    feed = dict(zip(IONS, FEED_EQ_PER_L, strict=True))
    level = fraction * (feed["Ca"] + feed["Mg"] if ion == "hardness" else feed[ion])
    expected = volume_at(reference_loading["bv"], reference_loading[ion], level, rising=True)
    found = volume_at(loading["bv"], loading[ion], level, rising=True)
    assert found == pytest.approx(expected, rel=VOLUME_TOLERANCE)


def test_magnesium_overshoots_its_feed(loading: Curve, reference_loading: Curve) -> None:
    """Calcium drives magnesium before it, to about twice its feed."""
    expected_bv, expected = peak(reference_loading["bv"], reference_loading["Mg"])
    bv, height = peak(loading["bv"], loading["Mg"])
    assert expected > 1.5 * FEED_EQ_PER_L[IONS.index("Mg")]
    assert height == pytest.approx(expected, rel=PEAK_TOLERANCE)
    assert bv == pytest.approx(expected_bv, rel=VOLUME_TOLERANCE)


@pytest.mark.parametrize("fraction", [1.75, 1.5, 1.25, 1.1])
def test_magnesium_falls_back_to_its_feed(loading: Curve, reference_loading: Curve, fraction: float) -> None:
    level = fraction * FEED_EQ_PER_L[IONS.index("Mg")]
    expected = volume_at(reference_loading["bv"], reference_loading["Mg"], level, rising=False)
    found = volume_at(loading["bv"], loading["Mg"], level, rising=False)
    assert found == pytest.approx(expected, rel=VOLUME_TOLERANCE)


@pytest.mark.parametrize("ion", ["Ca", "Mg"])
def test_elution_peak(elution: Curve, reference_elution: Curve, ion: str) -> None:
    expected_bv, expected = peak(reference_elution["bv"], reference_elution[ion])
    bv, height = peak(elution["bv"], elution[ion])
    assert height == pytest.approx(expected, rel=PEAK_TOLERANCE)
    assert bv == pytest.approx(expected_bv, rel=VOLUME_TOLERANCE)


@pytest.mark.parametrize(
    ("rising", "fraction"),
    [
        *((True, fraction) for fraction in (0.1, 0.25, 0.5, 0.75)),
        *((False, fraction) for fraction in (0.9, 0.75, 0.5)),
    ],
)
@pytest.mark.parametrize("ion", ["Ca", "Mg"])
def test_elution_volume(elution: Curve, reference_elution: Curve, ion: str, rising: bool, fraction: float) -> None:
    """Both flanks of the peak, at fractions of the reference's own peak."""
    _, height = peak(reference_elution["bv"], reference_elution[ion])
    level = fraction * height
    expected = volume_at(reference_elution["bv"], reference_elution[ion], level, rising=rising)
    found = volume_at(elution["bv"], elution[ion], level, rising=rising)
    assert found == pytest.approx(expected, rel=VOLUME_TOLERANCE)


@pytest.mark.parametrize("ion", ["Ca", "Mg"])
def test_eluted_amount(elution: Curve, reference_elution: Curve, ion: str) -> None:
    expected = np.trapezoid(reference_elution[ion], reference_elution["bv"])
    found = np.trapezoid(elution[ion], elution["bv"])
    assert found == pytest.approx(expected, rel=VOLUME_TOLERANCE)
