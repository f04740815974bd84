"""Where the salt went, hydraulics and gypsum, as Python hands them over."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from pathlib import Path

import brinefront as bf
import matplotlib as mpl
import numpy as np
import pytest
from brinefront.files import manifest

mpl.use("Agg")

COARSE = bf.default_case().replace({"cells": 24})
CO_CURRENT = COARSE.mirrored().replace({"regeneration.brine_water": "feed"})


@pytest.fixture(scope="module")
def account() -> bf.SaltAccount:
    return CO_CURRENT.salt_account()


def test_shares_sum_to_the_dose(account: bf.SaltAccount) -> None:
    names = ["equilibrium", "dispersion", "film and bead", "brine water", "bed mixing", "exchange"]
    assert [share.name for share in account.shares] == names
    table = account.table()
    assert list(table.index) == names
    assert table["share_g_per_l"].sum() == pytest.approx(96.0, abs=1e-11)
    assert table["share_of_dose"].sum() == pytest.approx(1.0, abs=1e-13)
    assert account["bed mixing"].share_g_per_l < 0.0
    # The last bed is the case, ended on its limit.
    ended = CO_CURRENT.replace({"service.volume_bv": None})
    assert account.case == ended
    assert account["exchange"].capacity_eq_per_l == ended.cycle().capacity_eq_per_l
    assert "set aside" in account.notes[0]
    with pytest.raises(KeyError, match="film and bead"):
        account["film"]


def test_all_orders_give_the_same_total(account: bf.SaltAccount) -> None:
    mean = CO_CURRENT.salt_account(order="shapley")
    assert (mean.runs, account.runs) == (16, 5)
    assert mean.table()["share_g_per_l"].sum() == pytest.approx(96.0, abs=1e-11)
    for name in ("equilibrium", "exchange"):
        assert mean[name].share_g_per_l == account[name].share_g_per_l
    assert math.isnan(mean["dispersion"].capacity_eq_per_l)
    with pytest.raises(bf.InputError, match="ladder or shapley"):
        CO_CURRENT.salt_account(order="alphabet")


def test_a_cycle_accounts_for_its_case(account: bf.SaltAccount) -> None:
    assert CO_CURRENT.cycle().salt_account().table().equals(account.table())


def test_the_picture_steps_down_from_the_dose(account: bf.SaltAccount) -> None:
    ax = account.plot()
    bars = ax.patches
    assert len(bars) == 1 + len(account.shares)
    assert bars[0].get_height() == 96.0
    assert bars[-1].get_height() == account["exchange"].share_g_per_l
    level = 96.0
    for bar, share in zip(bars[1:-1], account.shares[:-1], strict=True):
        assert bar.get_y() == pytest.approx(level)
        level -= share.share_g_per_l
        assert bar.get_y() + bar.get_height() == pytest.approx(level)
        # A gain is told from a loss without colour.
        assert bool(bar.get_hatch()) == (share.share_g_per_l < 0.0)
    assert level == pytest.approx(bars[-1].get_height())
    assert "[g per litre of resin]" in ax.get_ylabel()
    mpl.pyplot.close("all")


def test_the_command_writes_its_files(tmp_path: Path) -> None:
    file = tmp_path / "case.toml"
    file.write_text(COARSE.to_toml(), encoding="utf-8")
    out = tmp_path / "out"
    done = subprocess.run(
        [sys.executable, "-m", "brinefront", "account", file, "--json", "--out", out],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    shares = json.loads(done.stdout)["shares"]
    assert sum(share["share_g_per_l"] for share in shares) == pytest.approx(96.0, abs=1e-11)
    written = {path.name for path in out.iterdir()}
    named = {"salt_account.csv", "salt_account.json", "report.txt", "case.toml", "salt_account.png"}
    assert written == {*named, manifest.NAME}


def test_a_bed_that_is_never_soft_says_so() -> None:
    hard = CO_CURRENT.replace({"regeneration.dose_g_per_l": 40.0, "service.limit_mg_per_l_caco3": 0.5})
    found = hard.salt_account()
    assert [warning.kind for warning in found.warnings] == ["bed-with-effects"]
    inner = [note for note in found.notes if note.kind == "bed-with-effects"]
    assert len(inner) == found.runs - 1
    assert not any("the ideal bed" in line for line in found.summary().splitlines() if "WARNING" in line)
    assert "delivers no water below" in found.sentence()
    assert "WARNING" in found.summary()


def test_hydraulics_of_a_case_and_of_its_cycle_are_one_table() -> None:
    table = bf.hydraulics(CO_CURRENT)
    assert table.equals(CO_CURRENT.cycle().hydraulics())
    service = table.set_index("step").loc["service"]
    assert (service["bed"], service["way"], service["front"]) == ("settled", "down", "none")
    # 20 BV/h through 0.9 m.
    assert service["velocity_m_per_h"] == pytest.approx(18.0)
    assert table.attrs["units"]["velocity_m_per_h"] == "m/h"


def test_a_bed_that_is_carried_away_has_no_expansion() -> None:
    fast = CO_CURRENT.replace({"regeneration.backwash_flow_m_per_h": 100.0})
    row = bf.hydraulics(fast).iloc[0]
    assert (row["step"], row["bed"]) == ("backwash", "carried away")
    assert math.isnan(row["expansion_percent"])
    assert any("carries away" in note for note in row["notes"])


def test_gypsum_follows_the_waste() -> None:
    cycle = COARSE.cycle()
    found = cycle.gypsum()
    assert set(found["step"]) <= set(cycle.waste_curve()["step"])
    assert np.allclose(found["saturation_ratio"], 10.0 ** found["saturation_index"])
    highest = found.attrs["highest"]
    assert highest["saturation_index"] == found["saturation_index"].max() < 0.0
    assert not any("gypsum" in note for note in cycle.notes)


def test_a_sulfate_water_is_warned_of() -> None:
    # A water that has come through gypsum rock, still below saturation itself.
    ions = {"Na": 28.0, "Mg": 24.0, "Ca": 400.0, "HCO3": 120.0, "SO4": 900.0}
    hard = COARSE.replace({"water.ions": ions, "service.volume_bv": 20.0, "service.limit_mg_per_l_caco3": None})
    cycle = hard.cycle()
    assert cycle.settled
    highest = cycle.gypsum().attrs["highest"]
    assert highest["saturation_ratio"] > 1.0
    assert highest["step"] in ("brine", "slow rinse")
    assert any("supersaturated" in note and "kinetics" in note for note in cycle.notes)
    # Brine made with soft water keeps the feed's sulfate: its origin makes little difference.
    made_hard = hard.replace({"regeneration.brine_water": "feed"}).cycle().gypsum().attrs["highest"]
    assert made_hard["saturation_ratio"] == pytest.approx(highest["saturation_ratio"], rel=0.2)


def test_no_sulfate_no_gypsum() -> None:
    ions = {ion: value for ion, value in COARSE.water.ions.items() if ion != "SO4"}
    found = COARSE.replace({"water.ions": ions}).cycle().gypsum()
    assert (found["saturation_index"] == -math.inf).all()
    assert (found["saturation_ratio"] == 0.0).all()
