"""Calcium on a sodium resin across three decades of water strength, against a table."""

from __future__ import annotations

import brinefront as bf
import pytest
import reference_column

# Y_Ca at X_Ca = 0.05, 0.2, 0.5, 0.8 for each total normality N [eq/L], from mass action
# K = (Y/X) ((1 - X)/(1 - Y))^2 (N/Q), ideal activities (F. Helfferich 1962, Ion
# Exchange, ch. 5, from memory); the values are computed, not published.
SELECTIVITY = 2.606
CAPACITY_EQ_PER_L = 2.0
X_CA = (0.05, 0.2, 0.5, 0.8)
Y_CA = {
    0.005: (0.87678, 0.94611, 0.97834, 0.99310),
    0.01: (0.83042, 0.92465, 0.96950, 0.99025),
    0.05: (0.66154, 0.83947, 0.93310, 0.97834),
    0.1: (0.55973, 0.78102, 0.90673, 0.96950),
    0.5: (0.29062, 0.57856, 0.80366, 0.93310),
    1.0: (0.18963, 0.46543, 0.73454, 0.90673),
    2.0: (0.11347, 0.34712, 0.64753, 0.87075),
    4.0: (0.06333, 0.23703, 0.54337, 0.82236),
}
# Half a unit in the last digit printed.
TABLE_ROUNDING = 0.51e-5


def _resin_fractions(normality: float, calcium: float) -> dict[str, float]:
    return bf.equilibrium(
        solution={"Na": normality * (1.0 - calcium), "Ca": normality * calcium},
        selectivity={"Ca": SELECTIVITY},
        capacity_eq_per_l=CAPACITY_EQ_PER_L,
    )


@pytest.mark.parametrize(
    ("normality", "x", "y"),
    [(normality, x, y) for normality, row in Y_CA.items() for x, y in zip(X_CA, row, strict=True)],
)
def test_resin_fraction(normality: float, x: float, y: float) -> None:
    found = _resin_fractions(normality, x)
    assert found["Ca"] == pytest.approx(y, abs=TABLE_ROUNDING)
    assert found["Na"] + found["Ca"] == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("x", [0.001, 0.05, 0.2, 0.5, 0.8, 0.999])
def test_no_preference_at_normality_k_times_capacity(x: float) -> None:
    """The separation factor is 1 at N = K Q, whatever the composition.

    Source: the mass action law itself, Y = X being its only root there.
    """
    found = _resin_fractions(SELECTIVITY * CAPACITY_EQ_PER_L, x)
    assert found["Ca"] == pytest.approx(x, rel=1e-10)


def test_three_ions() -> None:
    """Na/Mg/Ca, against SciPy's root of sum y = 1 (`reference_column`)."""
    liquid = {"Na": 0.0026, "Mg": 0.0020, "Ca": 0.0040}
    column = reference_column.Column(
        ions=tuple(liquid),
        selectivity=(1.0, 1.66, SELECTIVITY),
        capacity_eq_per_l=CAPACITY_EQ_PER_L,
        void_fraction=0.38,
        depth_m=1.0,
        film_per_s=1.0,
        bead_per_s=1.0,
        dispersion_m2_per_s=1e-6,
        flow_bv_per_h=20.0,
        cells=1,
    )
    held = reference_column.loading_at_equilibrium(column, list(liquid.values()))
    found = bf.equilibrium(
        solution=liquid,
        selectivity={"Mg": 1.66, "Ca": SELECTIVITY},
        capacity_eq_per_l=CAPACITY_EQ_PER_L,
    )
    for ion, loading in zip(liquid, held, strict=True):
        assert found[ion] == pytest.approx(loading / CAPACITY_EQ_PER_L, rel=1e-9)
