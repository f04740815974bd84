"""Results in trade units by name: figures, quantities, tables and grids."""

from __future__ import annotations

from typing import Any

import brinefront as bf
import numpy as np
import pandas as pd
import pytest
from brinefront.words.figures import figures

# Definitions (NIST Handbook 44, appendix C; grain and pound read second-hand, the rest from memory) and the atomic masses
# C 12.011, O 15.999, Ca 40.078.
MG_A_GRAIN = 64.79891
G_A_POUND = 453.59237
L_A_GALLON = 3.785411784
L_A_CUBIC_FOOT = 28.316846592
G_CACO3_AN_EQ = (40.078 + 12.011 + 3 * 15.999) / 2
MG_CACO3_A_GPG = MG_A_GRAIN / L_A_GALLON


@pytest.fixture(scope="module")
def cycle() -> bf.Cycle:
    return bf.default_case().replace({"cells": 20}).cycle()


def test_figures_in_trade_units(cycle: bf.Cycle) -> None:
    """1 eq/L is 21.8686 kgr/ft3, 1 gpg is 17.118 mg/L as CaCO3 (common factors of the trade, derived)."""
    assert cycle.figure("capacity_eq_per_l", "kgr/ft3") == pytest.approx(21.8686 * cycle.capacity_eq_per_l, rel=2e-5)
    assert cycle.figure("capacity_eq_per_l", "kgr/ft3") == pytest.approx(cycle.capacity_kgr_per_ft3, rel=1e-12)
    assert cycle.figure("feed_hardness_mg_per_l_caco3", "gr/gal") == pytest.approx(
        cycle.feed_hardness_mg_per_l_caco3 / 17.11806, rel=2e-5
    )
    assert cycle.figure("dose_g_per_l", "lb/ft3") == pytest.approx(96.0 * L_A_CUBIC_FOOT / G_A_POUND, rel=1e-12)
    assert cycle.figure("salt_kg_per_week", "lb/week") == pytest.approx(
        cycle.salt_kg_per_week * 1e3 / G_A_POUND, rel=1e-12
    )
    assert cycle.figure("waste_m3_per_week", "gal/week") == pytest.approx(cycle.waste_m3_per_week * 1e3 / L_A_GALLON)
    assert cycle.figure("run_hours", "min") == pytest.approx(60.0 * cycle.run_hours, rel=1e-12)
    assert cycle.figure("dose_g_per_l", "g/L") == cycle.dose_g_per_l


def test_bed_volumes_become_volumes_by_the_bed(cycle: bf.Cycle) -> None:
    assert cycle.figure("run_length_bv", "L") == pytest.approx(cycle.run_length_l, rel=1e-12)
    assert cycle.figure("run_length_bv", "m3") == pytest.approx(1e-3 * cycle.run_length_l, rel=1e-12)
    assert cycle.figure("waste_volume_bv", "gal") == pytest.approx(cycle.waste_volume_l / L_A_GALLON, rel=1e-12)
    assert cycle.figure("waste_volume_bv", "ft3") == pytest.approx(cycle.waste_volume_l / L_A_CUBIC_FOOT, rel=1e-12)
    # As much water in a cubic foot of bed, whatever the bed.
    assert cycle.figure("run_length_bv", "gal/ft3") == pytest.approx(
        cycle.run_length_bv * L_A_CUBIC_FOOT / L_A_GALLON, rel=1e-12
    )


@pytest.mark.parametrize(
    ("name", "unit", "words"),
    [
        ("capacity_eq_per_l", "gal", "converts into eq/L"),
        ("capacity_eq_per_l", "furlong", "kgr/ft3"),
        ("run_length_bv", "lb", "BV"),
        ("direction", "gal", "no number"),
        ("settled", "gal", "no number"),
        ("salt_efficiency_fraction", "gr/lb", "dimensionless"),
        ("capacity", "kgr/ft3", "no figure"),
    ],
)
def test_what_does_not_convert_says_so(cycle: bf.Cycle, name: str, unit: str, words: str) -> None:
    with pytest.raises(bf.InputError) as caught:
        cycle.figure(name, unit)
    assert words in caught.value.limits, caught.value.limits


def test_every_figure_is_a_quantity_in_its_own_unit(cycle: bf.Cycle) -> None:
    """The unit in a figure's name is the one that its words say."""
    said = {
        "g/L of resin": "g/L", "mg/L as CaCO3": "mg_CaCO3/L", "eq/L of bed": "eq/L", "kgr/ft3": "kgr_CaCO3/ft**3",
        "gr/lb": "gr_CaCO3/lb", "g as CaCO3": "g_CaCO3",
    }  # fmt: skip
    ureg = bf.units.registry()
    for figure in figures():
        if figure.kind in ("str", "bool"):
            with pytest.raises(bf.InputError, match=figure.name):
                cycle.quantity(figure.name)
            continue
        found = cycle.quantity(figure.name)
        assert found.magnitude == pytest.approx(getattr(cycle, figure.name), rel=0, nan_ok=True)
        if figure.unit.startswith("of ") or not figure.unit:
            assert found.units == ureg.dimensionless, figure.name
            continue
        unit = ureg.Unit(said.get(figure.unit, figure.unit).replace("m3", "m**3"))
        weekly = figure.name.endswith("_per_week") and figure.unit != "1/week"
        assert found.units == (unit / ureg.week if weekly else unit), figure.name
    efficiency = cycle.quantity("capacity_eq_per_l") / cycle.quantity("dose_g_per_l")
    assert efficiency.m_as("gr_CaCO3/lb") == pytest.approx(cycle.salt_efficiency_gr_per_lb, rel=1e-9)


def test_a_point_of_a_sweep_converts_its_figures(cycle: bf.Cycle) -> None:
    with bf.sweep_stream(cycle.case, {"regeneration.dose_g_per_l": [96.0]}) as points:
        figures_of = next(points).figures
    assert figures_of is not None
    assert figures_of.figure("capacity_eq_per_l", "kgr/ft3") == pytest.approx(cycle.capacity_kgr_per_ft3, rel=1e-9)
    with pytest.raises(bf.InputError, match="only of a bed"):
        figures_of.figure("run_length_bv", "gal")


def test_a_table_in_trade_units(cycle: bf.Cycle) -> None:
    curve = cycle.leakage()
    before = curve.copy()
    wanted = {"hardness_mg_per_l_caco3": "gr/gal", "bv": "gal", "Ca": "mg/L CaCO3"}
    found = bf.units.converted(curve, wanted, bed_volume_l=cycle.case.bed.volume_l)
    assert list(found.columns) == ["throughput_gal", "Na", "Mg", "Ca_mg_per_l_caco3", "hardness_gr_per_gal"]
    assert found.attrs["units"] == {
        "throughput_gal": "gal",
        "Na": "eq/L",
        "Mg": "eq/L",
        "Ca_mg_per_l_caco3": "mg/L as CaCO3",
        "hardness_gr_per_gal": "gr/gal",
    }
    assert found["hardness_gr_per_gal"].to_numpy() == pytest.approx(
        before["hardness_mg_per_l_caco3"].to_numpy() / MG_CACO3_A_GPG, rel=1e-12
    )
    assert found["throughput_gal"].iloc[-1] == pytest.approx(cycle.run_length_l / L_A_GALLON, rel=1e-12)
    assert found["Ca_mg_per_l_caco3"].to_numpy() == pytest.approx(
        before["Ca"].to_numpy() * 1e3 * G_CACO3_AN_EQ, rel=1e-12
    )
    pd.testing.assert_frame_equal(curve, before)
    assert curve.attrs == before.attrs
    # And back: the new names say their units too.
    again = bf.units.converted(found, {"hardness_gr_per_gal": "mg/L CaCO3", "Ca_mg_per_l_caco3": "eq/L"})
    assert again["hardness_mg_per_l_caco3"].to_numpy() == pytest.approx(before["hardness_mg_per_l_caco3"].to_numpy())
    assert again["Ca_eq_per_l"].to_numpy() == pytest.approx(before["Ca"].to_numpy(), rel=1e-12)


def test_steps_in_trade_units(cycle: bf.Cycle) -> None:
    steps = cycle.steps()
    bed = bf.units.registry().Quantity(cycle.case.bed.volume_l / L_A_CUBIC_FOOT, "ft**3")
    wanted = {"flow_bv_per_h": "gpm", "velocity_m_per_h": "gpm/ft2", "pressure_drop_kpa": "psi", "minutes": "h"}
    found = bf.units.converted(steps, wanted, bed_volume_l=bed)
    assert {"flow_gpm", "velocity_gpm_per_ft2", "pressure_drop_psi", "duration_h"} <= set(found.columns)
    service = found.set_index("step").loc["service"]
    # What flows in a minute, over the time of the step, is its volume.
    assert service["flow_gpm"] * 60.0 * service["duration_h"] * L_A_GALLON == pytest.approx(
        service["volume_l"], rel=1e-9
    )
    # 1 gpm/ft2 is 2.44475 m/h, 1 psi is 6.894757 kPa.
    was = steps.set_index("step").loc["service"]
    assert service["velocity_gpm_per_ft2"] == pytest.approx(was["velocity_m_per_h"] / 2.44475, rel=2e-5)
    assert service["pressure_drop_psi"] == pytest.approx(was["pressure_drop_kpa"] / 6.894757, rel=1e-6)


def test_a_dataset_in_trade_units(cycle: bf.Cycle) -> None:
    profiles = cycle.profiles()
    found = bf.units.converted(profiles, {"loading_eq_per_l": "kgr/ft3", "depth": "ft"})
    assert found["loading_kgr_per_ft3"].attrs["units"] == "kgr/ft3"
    assert found["loading_kgr_per_ft3"].attrs["long_name"] == "loading of the resin"
    assert found["loading_kgr_per_ft3"].dims == ("step", "depth_ft", "ion")
    assert found["loading_kgr_per_ft3"].values == pytest.approx(
        profiles["loading_eq_per_l"].values * L_A_CUBIC_FOOT * G_CACO3_AN_EQ / MG_A_GRAIN, rel=1e-12
    )
    assert found["depth_ft"].values == pytest.approx(profiles["depth"].values / 0.3048, rel=1e-12)
    assert found["depth_ft"].attrs["units"] == "ft"
    assert found["liquid_eq_per_l"].values is not None and "loading_eq_per_l" not in found
    assert profiles.identical(cycle.profiles())
    grid = bf.sweep(cycle.case.replace({"cells": 10}), {"regeneration.dose_g_per_l": [80.0, 96.0]})
    trade = bf.units.converted(grid, {"regeneration.dose_g_per_l": "lb/ft3", "leakage_mean_mg_per_l_caco3": "gr/gal"})
    assert trade["leakage_mean_gr_per_gal"].dims == ("regeneration.dose_lb_per_ft3",)
    assert trade["regeneration.dose_lb_per_ft3"].values == pytest.approx(
        np.array([80.0, 96.0]) * L_A_CUBIC_FOOT / G_A_POUND, rel=1e-12
    )
    # The coordinate still selects.
    chosen: Any = trade.sel({"regeneration.dose_lb_per_ft3": 6.0}, method="nearest")
    assert float(chosen["run_length_bv"]) == float(grid["run_length_bv"][1])


def test_what_a_table_refuses(cycle: bf.Cycle) -> None:
    curve, steps = cycle.leakage(), cycle.steps()
    for table, units, words in (
        (curve, {"hardness": "gr/gal"}, "it has bv, Na"),
        (curve, {"bv": "gal"}, "give bed_volume_l"),
        (curve, {"bv": "gr/gal"}, "BV; it converts into BV"),
        (steps, {"direction": "gal"}, "no unit"),
        (steps, {"bed_expansion_percent": "m"}, "does not convert into trade units"),
        (steps, {"volume_bv": "BV", "volume_l": "BV"}, "it converts into L"),
        ([1.0], {"bv": "gal"}, "pandas.DataFrame"),
        (cycle.profiles(), {"loading": "kgr/ft3"}, "no such variable"),
    ):
        with pytest.raises(bf.InputError) as caught:
            bf.units.converted(table, units)
        assert words in caught.value.limits, caught.value.limits
    with pytest.raises(bf.InputError, match="already has volume_l"):
        bf.units.converted(steps, {"volume_bv": "L"}, bed_volume_l=100.0)
    with pytest.raises(bf.InputError, match="bed_volume_l"):
        bf.units.converted(curve, {"bv": "gal"}, bed_volume_l=bf.units.registry().Quantity(1.0, "kg"))


def test_a_copy_is_a_copy(cycle: bf.Cycle) -> None:
    curve = cycle.leakage()
    found = bf.units.converted(curve, {})
    found["bv"] += 1.0
    assert curve["bv"].iloc[0] == 0.0
