"""How results cross from the library: a number that does not exist is None, one that is not finite is as it is."""

from __future__ import annotations

import json
import math
from typing import Any

import brinefront as bf
import numpy as np
import pytest
from brinefront import _core
from brinefront.native import handover

CASE = bf.default_case().replace({"cells": 10})
WITH_A_REST = CASE.replace({"recipe": bf.Recipe([bf.Brine(), bf.Standby(20.0), bf.SlowRinse(), bf.FastRinse()])})
NO_SULFATE = CASE.replace({"water": bf.Water({"Ca": 80.0, "Mg": 24.0, "Na": 28.0})})


def of_water(ions: dict[str, float]) -> bf.Case:
    return CASE.replace({"water": bf.Water(ions)})


@pytest.fixture
def records(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library hands its records over as they are, to no class."""
    for kind in ("cycle", "run", "salt account"):
        monkeypatch.setitem(handover._makers, kind, dict)


def strictly(value: Any) -> Any:
    """Out of JSON that has no words but those of the standard."""
    return json.loads(json.dumps(value, allow_nan=False))


def test_hydraulics_of_a_step_without_flow_are_none() -> None:
    rows = {row["step"]: row for row in _core.hydraulics(WITH_A_REST)}
    rest = rows["standby"]
    assert [rest[name] for name in ("pressure_drop_kpa", "expansion_percent", "front_critical_m_per_h")] == [None] * 3
    assert (rest["velocity_m_per_h"], rest["reynolds"]) == (0.0, 0.0) and rows["brine"]["pressure_drop_kpa"] > 0.0
    assert list(rest)[:3] == ["step", "liquid", "way"] and len(rest["notes"]) == 0


def test_a_table_has_nan_for_them_and_keeps_its_kinds() -> None:
    for table in (bf.hydraulics(WITH_A_REST), WITH_A_REST.cycle().hydraulics()):
        found = table.set_index("step")
        assert math.isnan(found.loc["standby", "pressure_drop_kpa"]) and found.loc["brine", "pressure_drop_kpa"] > 0.0
        # A column of which every number is missing is one of numbers all the same.
        assert found["expansion_percent"].isna().all() and found["expansion_percent"].dtype == np.float64
    steps = WITH_A_REST.cycle().steps()
    assert steps["bed_expansion_percent"].isna().all() and steps["bed_expansion_percent"].dtype == np.float64


@pytest.mark.usefixtures("records")
def test_numbers_that_do_not_exist_are_none() -> None:
    cycle: Any = WITH_A_REST.cycle()
    rest = next(row for row in cycle["steps"] if row["step"] == "standby")
    assert (rest["pressure_drop_kpa"], rest["lifts_from_m_per_h"], rest["bed_expansion_percent"]) == (None, None, None)
    assert (rest["inlet_normality_eq_per_l"], rest["ended"]) == (0.0, "time")
    assert all(type(count) is int for count in cycle["effort"].values()) and cycle["effort"]["steps"] > 0
    account: Any = CASE.salt_account("shapley")
    capacities = [share["capacity_eq_per_l"] for share in account["shares"]]
    assert capacities[1:-1] == [None] * (len(capacities) - 2) and min(capacities[0], capacities[-1]) > 0.0
    run: Any = CASE.replace({"cells": 6}).load({"Na": 1.0}, 20.0)
    assert run["effluent_error_fraction"] is None


def test_users_have_nan_for_them_and_json_null() -> None:
    account, run = CASE.salt_account("shapley"), CASE.replace({"cells": 6}).load({"Na": 1.0}, 20.0)
    assert all(math.isnan(share.capacity_eq_per_l) for share in account.shares[1:-1])
    assert account.table()["capacity_eq_per_l"].dtype == np.float64
    assert strictly(account.to_dict())["shares"][1]["capacity_eq_per_l"] is None
    assert math.isnan(run.effluent_error_fraction) and strictly(run.to_dict())["effluent_error_fraction"] is None


def test_what_is_not_a_number_is_nan() -> None:
    """Zero over zero: all of the feed is divalent, in the liquid as on the resin."""
    found = bf.waves(of_water({"Ca": 80.0, "Mg": 24.0}), levels=10)
    assert math.isnan(found.separation_factor_feed) and math.isnan(found.separation_factor_brine)
    assert found.feed_divalent_fraction == 1.0


def test_what_has_no_end_is_infinite() -> None:
    """A trace of sodium, of which the resin holds none to the last bit; an elution of no sodium at all is not a number."""
    found = bf.waves(of_water({"Ca": 80.0, "Mg": 24.0, "Na": 1e-14}), levels=10)
    assert found.separation_factor_feed == math.inf and math.isnan(found.separation_factor_brine)
    assert '<td class="number">-</td>' in found._repr_html_()


def test_waste_without_sulfate_is_infinitely_far_from_gypsum() -> None:
    curve = NO_SULFATE.cycle().gypsum()
    highest = curve.attrs["highest"]
    assert list(highest) == ["bv", "step", "saturation_index", "saturation_ratio"]
    assert (highest["saturation_index"], highest["saturation_ratio"]) == (-math.inf, 0.0)
    assert (curve["saturation_index"] == -math.inf).all()
