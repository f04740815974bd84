"""The calibration of the default resin, seen in another water than it was made with: trade doses against trade figures.

Capacity, bead size, bead diffusivity and the basis of the selectivities were chosen, within what their sources allow, for
the best fit to the published co-current ratings. That capacities lie among these is the fit, no independent check.
Capacities per volume of settled resin; doses in lb of salt per cubic foot of resin.
"""

from __future__ import annotations

from dataclasses import dataclass

import brinefront as bf
import numpy as np
import pytest
from brinefront.tables.published import co_current_capacity, conditions

# Exact definitions: 453.59237 g a pound over 28.316846592 L a cubic foot.
G_PER_L_A_LB_PER_FT3 = 453.59237 / 28.316846592
# 7000 gr/lb x 50.043 g CaCO3/eq / 58.443 g NaCl/eq (derived from atomic weights).
STOICHIOMETRIC_GR_PER_LB = 5994.0
# kgr/ft3 in one eq/L (derived from the same).
KGR_PER_FT3_AN_EQ_PER_L = 21.8686

DOSES_LB_PER_FT3 = (5.0, 6.0, 8.0, 10.0, 12.0, 15.0)

# Every dose is fed over half an hour, so that a small one has as long to work as a
# large one: brine takes 30 to 60 min, M. L. Davis (2010), Water and Wastewater
# Engineering, ch. 8, p. 8-19, after D. A. Clifford (1999) (seen).
BRINE_H = 0.5
# g of NaCl in a litre of 10 % brine at 20 C: a tenth of 1070.7 kg/m3 (handbook density,
# from memory). It only sets the flow.
NACL_IN_BRINE_G_PER_L = 107.07

# The two ends of the temperatures the published figures are taken to hold for.
TEMPERATURES_C = conditions().temperature_c

# kgr/ft3, low and high; published_capacity.json of the package has the rows it is the
# envelope of, and their sources.
CO_CURRENT_BAND_KGR_PER_FT3 = co_current_capacity()
# The default flow gives a small dose less time to work than a large one, and the curve
# is steeper than the band: points outside it, by dose and temperature, and how far
# beyond the nearer limit in kgr/ft3, negative below. 14 of 18 points lie inside.
OUTSIDE_AT_DEFAULT_FLOW = {(5.0, 15.0): -0.61, (15.0, 20.0): 0.22, (12.0, 25.0): 0.54, (15.0, 25.0): 0.80}
# Rounding of the record, and as much again.
RECORD_AGREES_KGR_PER_FT3 = 0.01
# Counter-current over co-current at one dose: 5-10 % at most at 6-7 lb/ft3, P. Meyers
# (2001), Countercurrent regeneration for softeners (seen); "roughly 0 to 10 %" over
# the usual doses is derived from it and common practice.
COUNTER_CURRENT_GAIN = (0.0, 0.10)


@dataclass(frozen=True)
class Figures:
    """What a steady cycle says about one dose."""

    capacity_kgr_per_ft3: float
    capacity_eq_per_l: float
    efficiency_gr_per_lb: float
    half_run_leakage_mg_per_l_caco3: float


def _cycle(
    direction: str, dose_lb_per_ft3: float, temperature_c: float = 20.0, flow_bv_per_h: float | None = None
) -> Figures:
    """Run the default resin in a household-to-plant setting.

    276 mg/L of dissolved solids with chloride as the only anion, 211 mg/L of hardness
    as CaCO3; service flow and rinses of common practice, no source. Brine takes half an
    hour unless it has a flow.
    """
    dose_g_per_l = dose_lb_per_ft3 * G_PER_L_A_LB_PER_FT3
    case = bf.Case(
        bf.Water(
            {"Ca": 60.0, "Mg": 15.0, "Na": 20.0},
            unit="mg/L",
            temperature_c=temperature_c,
        ),
        bf.Resin(),
        bf.Bed(depth_m=0.9, diameter_m=0.3),
        bf.Service(flow_bv_per_h=16.0, limit_mg_per_l_caco3=17.0),
        bf.Regeneration(
            direction=direction,
            salt="NaCl",
            dose_g_per_l=dose_g_per_l,
            strength_percent=10.0,
            flow_bv_per_h=flow_bv_per_h or dose_g_per_l / NACL_IN_BRINE_G_PER_L / BRINE_H,
            brine_water="soft",
            slow_rinse_bv=1.5,
            fast_rinse_bv=3.0,
            fast_rinse_flow_bv_per_h=12.0,
            backwash_mixing=1.0 if direction == "co-current" else 0.0,
        ),
    )
    cycle = case.cycle()
    return Figures(
        cycle.capacity_kgr_per_ft3,
        cycle.capacity_eq_per_l,
        cycle.salt_efficiency_gr_per_lb,
        cycle.leakage_half_run_mg_per_l_caco3,
    )


@pytest.fixture(scope="module")
def co_current() -> dict[float, Figures]:
    """Brine with the service flow, on a bed turned over by its backwash."""
    return {dose: _cycle("co-current", dose) for dose in DOSES_LB_PER_FT3}


@pytest.fixture(scope="module")
def counter_current() -> dict[float, Figures]:
    """Brine against the service flow, on a bed left in place."""
    return {dose: _cycle("counter-current", dose) for dose in DOSES_LB_PER_FT3}


@pytest.fixture(params=["co_current", "counter_current"])
def either(request: pytest.FixtureRequest) -> dict[float, Figures]:
    """Give both directions in turn."""
    figures: dict[float, Figures] = request.getfixturevalue(request.param)
    return figures


@pytest.mark.parametrize("temperature_c", TEMPERATURES_C)
@pytest.mark.parametrize("dose", DOSES_LB_PER_FT3)
def test_co_current_capacity(dose: float, temperature_c: float) -> None:
    low, high = CO_CURRENT_BAND_KGR_PER_FT3[dose]
    capacity = _cycle("co-current", dose, temperature_c).capacity_kgr_per_ft3
    assert low <= capacity <= high


def test_the_default_flow_leaves_the_band_where_it_is_on_record() -> None:
    """A record: neither worse nor, unnoticed, better."""
    default = bf.Regeneration(direction="co-current", dose_g_per_l=96.0).flow_bv_per_h
    outside = {}
    for dose, (low, high) in CO_CURRENT_BAND_KGR_PER_FT3.items():
        for temperature_c in (*TEMPERATURES_C, 20.0):
            capacity = _cycle("co-current", dose, temperature_c, default).capacity_kgr_per_ft3
            if not low <= capacity <= high:
                outside[dose, temperature_c] = capacity - (low if capacity < low else high)
    assert outside == pytest.approx(OUTSIDE_AT_DEFAULT_FLOW, abs=RECORD_AGREES_KGR_PER_FT3)


@pytest.mark.parametrize("dose", DOSES_LB_PER_FT3)
def test_counter_current_gains_little_capacity(
    co_current: dict[float, Figures], counter_current: dict[float, Figures], dose: float
) -> None:
    gain = counter_current[dose].capacity_kgr_per_ft3 / co_current[dose].capacity_kgr_per_ft3 - 1.0
    low, high = COUNTER_CURRENT_GAIN
    assert low <= gain <= high


@pytest.mark.parametrize("dose", DOSES_LB_PER_FT3)
def test_counter_current_leaks_less(
    co_current: dict[float, Figures], counter_current: dict[float, Figures], dose: float
) -> None:
    """Source: lower leakage is the main benefit (Keller, part 2, seen)."""
    assert counter_current[dose].half_run_leakage_mg_per_l_caco3 < co_current[dose].half_run_leakage_mg_per_l_caco3


def test_capacity_rises_and_bends_over(either: dict[float, Figures]) -> None:
    """More salt gives more capacity, each pound less of it than the last (derived)."""
    capacity = [figures.capacity_kgr_per_ft3 for figures in either.values()]
    gained_a_pound = np.diff(capacity) / np.diff(list(either))
    assert (gained_a_pound > 0.0).all()
    assert (np.diff(gained_a_pound) < 0.0).all()


def test_efficiency_falls_with_dose(either: dict[float, Figures]) -> None:
    """Derived: a concave curve from the origin."""
    efficiency = [figures.efficiency_gr_per_lb for figures in either.values()]
    assert (np.diff(efficiency) < 0.0).all()


def test_nothing_beats_stoichiometry(either: dict[float, Figures]) -> None:
    """An equivalent of salt frees at most an equivalent of hardness."""
    for dose, figures in either.items():
        assert figures.efficiency_gr_per_lb <= STOICHIOMETRIC_GR_PER_LB
        assert figures.capacity_kgr_per_ft3 <= dose * STOICHIOMETRIC_GR_PER_LB / 1000.0


def test_figures_agree_across_units(either: dict[float, Figures]) -> None:
    """Capacity in kgr/ft3 and eq/L, and grains a pound from capacity and dose."""
    for dose, figures in either.items():
        assert figures.capacity_kgr_per_ft3 == pytest.approx(
            figures.capacity_eq_per_l * KGR_PER_FT3_AN_EQ_PER_L, rel=2e-5
        )
        assert figures.efficiency_gr_per_lb == pytest.approx(1000.0 * figures.capacity_kgr_per_ft3 / dose, rel=2e-5)
