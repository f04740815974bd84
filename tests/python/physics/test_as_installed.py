"""A bed as installed, from Python: impure salt, hard rinse, age, lifted beads, rest, reclaimed brine."""

from __future__ import annotations

import pickle
from pathlib import Path
from typing import Any

import brinefront as bf
import numpy as np
import pytest

CASE = bf.default_case().replace({"cells": 40})
CHANGES: dict[str, dict[str, Any]] = {
    "salt": {"regeneration.salt_impurities_percent": {"Ca": 0.3, "Mg": 0.05}, "regeneration.salt_purity_percent": 98.0},
    "rinse": {"regeneration.slow_rinse_water": "feed"},
    "age": {"resin.age_years": 5.0, "resin.capacity_loss_percent_per_year": 3.0},
    "lifted": {"bed.held_down": False, "bed.lifted_mixing": "full"},
    "dispersion": {"bed.held_down": False, "bed.lifted_mixing": "dispersion", "bed.solid_mixing_m2_per_s": 1e-5},
    "rest": {"service.standby_hours": 8.0, "service.standby_after_bv": 70.0},
    "reclaim": {"regeneration.reclaim_from_bv": 1.2, "regeneration.reclaim_to_bv": 1.7},
}
OPTIONAL = (
    "dose_as_sold_g_per_l",
    "salt_as_sold_kg",
    "salt_efficiency_as_sold_gr_per_lb",
    "restart_before_mg_per_l_caco3",
    "restart_first_bv_mg_per_l_caco3",
    "restart_peak_mg_per_l_caco3",
    "reclaimed_volume_bv",
    "reclaimed_normality_eq_per_l",
    "reclaimed_hardness_fraction",
    "reclaimed_salt_g_per_l",
)


@pytest.mark.parametrize("name", CHANGES)
def test_a_case_keeps_what_it_is_told(name: str, tmp_path: Path) -> None:
    case = CASE.replace(CHANGES[name])
    for dotted, value in CHANGES[name].items():
        part, field = dotted.split(".")
        assert getattr(getattr(case, part), field) == value
    path = tmp_path / "case.toml"
    path.write_text(case.to_toml(), encoding="utf-8")
    assert bf.Case.from_toml(path) == case != CASE
    assert pickle.loads(pickle.dumps(case)) == case
    assert eval(repr(case), vars(bf)) == case
    back = {dotted: None for dotted in CHANGES[name] if dotted != "bed.held_down"}
    assert case.replace(back | {"bed.held_down": True}) == CASE


def test_constructors_take_it_too() -> None:
    regeneration = bf.Regeneration(
        "counter-current", 96.0, salt_purity_percent=98.0, salt_impurities_percent={"Ca": 0.3}, slow_rinse_water="feed",
        reclaim_from_bv=1.2, reclaim_to_bv=1.7,
    )  # fmt: skip
    assert regeneration.salt_impurities_percent == {"Ca": 0.3} and regeneration.slow_rinse_water == "feed"
    assert bf.Regeneration("co-current", 96.0).slow_rinse_water is None
    assert bf.Bed(0.9, 0.4).lifted_mixing == "none"
    assert bf.Bed(0.9, 0.4, lifted_mixing="dispersion", solid_mixing_m2_per_s=1e-5).solid_mixing_m2_per_s == 1e-5
    assert bf.Service(20.0, volume_bv=100.0, standby_hours=8.0, standby_after_bv=50.0).standby_hours == 8.0
    aged = bf.Resin(2.0, age_years=2.0)
    assert aged.capacity_eq_per_l == 2.0 and aged.aged_capacity_eq_per_l == pytest.approx(2.0 * 0.95**2)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"regeneration.salt_purity_percent": 20.0}, "regeneration.salt_purity_percent"),
        ({"regeneration.salt_impurities_percent": {"Na": 1.0}}, "regeneration.salt_impurities_percent.Na"),
        ({"regeneration.slow_rinse_water": "rain"}, "regeneration.slow_rinse_water"),
        ({"regeneration.reclaim_to_bv": 1.0}, "regeneration.reclaim_to_bv"),
        ({"bed.lifted_mixing": "dispersion"}, "bed.solid_mixing_m2_per_s"),
        ({"service.standby_hours": 8.0}, "service.standby_after_bv"),
        ({"resin.age_years": -1.0}, "resin.age_years"),
    ],
)
def test_what_cannot_be_is_refused(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(bf.InputError) as refused:
        CASE.replace(changes)
    assert refused.value.field == field


def test_figures_exist_where_something_was_said() -> None:
    plain = CASE.cycle()
    assert all(np.isnan(getattr(plain, name)) for name in OPTIONAL)
    assert "as sold" not in plain.summary()
    salt = CASE.replace(CHANGES["salt"]).cycle()
    assert salt.dose_as_sold_g_per_l == pytest.approx(96.0 / 0.98)
    assert "as sold" in salt.summary()
    assert salt.leakage_half_run_mg_per_l_caco3 > plain.leakage_half_run_mg_per_l_caco3
    rest = CASE.replace(CHANGES["rest"]).cycle()
    assert rest.restart_peak_mg_per_l_caco3 >= rest.restart_first_bv_mg_per_l_caco3 >= 0.0
    curve = rest.leakage()
    assert curve["bv"].is_monotonic_increasing and curve.notna().all(axis=None)
    kept = CASE.replace(CHANGES["reclaim"]).cycle()
    assert kept.reclaimed_volume_bv == pytest.approx(0.5)
    assert kept.steps()["step"][0] == "reclaimed brine"
    assert kept.waste_volume_bv == pytest.approx(plain.waste_volume_bv)
    for cycle in (salt, rest, kept):
        assert cycle.settled and cycle.ledger_error < 1e-10


def test_a_sweep_over_age_and_impurity() -> None:
    case = CASE.replace({"service.volume_bv": None, "regeneration.salt_impurities_percent": {"Ca": 0.0}})
    run = bf.sweep(case, {"resin.age_years": [0, 5, 10]})["run_length_bv"].to_numpy()
    assert run[0] > run[1] > run[2]
    leaks = bf.sweep(case, {"regeneration.salt_impurities_percent.Ca": [0.0, 0.5, 1.0]})
    leaks = leaks["leakage_half_run_mg_per_l_caco3"].to_numpy()
    assert leaks[0] < leaks[1] < leaks[2]
