"""Recipes of free steps, from Python: values, changes by name, files, and what a run says of them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import brinefront as bf
import numpy as np
import pytest

CASE = bf.default_case().replace({"cells": 40})
SPLIT = bf.Recipe(
    [
        bf.Brine(share=0.5),
        bf.Standby(20.0),
        bf.Brine(),
        bf.SlowRinse(until_chloride_mg_per_l=2000.0, at_most_bv=4.0),
        bf.FastRinse(volume_bv=2.0),
    ]
)


def test_a_recipe_is_its_steps() -> None:
    assert len(SPLIT) == 5 and list(SPLIT) == list(SPLIT.steps)
    assert SPLIT[0] == bf.Brine(share=0.5) and SPLIT[-1] == bf.FastRinse(volume_bv=2.0)
    with pytest.raises(IndexError):
        SPLIT[5]
    assert bf.Recipe(iter(SPLIT)) == SPLIT
    assert bf.Recipe(reversed(SPLIT.steps)) != SPLIT
    with pytest.raises(TypeError):
        bf.Standby(20.0, flow_bv_per_h=3.0)  # type: ignore[call-arg]


def test_a_case_keeps_its_recipe(tmp_path: Path) -> None:
    case = CASE.replace({"recipe": SPLIT})
    assert case.recipe == SPLIT and CASE.recipe is None
    parts = (CASE.water, CASE.resin, CASE.bed, CASE.service, CASE.regeneration)
    assert bf.Case(*parts, recipe=SPLIT).recipe == SPLIT
    assert case.replace({"recipe": list(SPLIT)}) == case
    assert case.replace({"recipe.1.minutes": 45}).recipe[1] == bf.Standby(45.0)
    assert case.replace({"recipe.4": bf.FastRinse()}).recipe[4] == bf.FastRinse()
    assert case.replace({"recipe": None}) == CASE
    path = tmp_path / "case.toml"
    path.write_text(case.to_toml(), encoding="utf-8")
    assert bf.Case.from_toml(path) == case


@pytest.mark.parametrize("direction", ["co-current", "counter-current"])
def test_the_recipe_of_a_regeneration_gives_the_same_figures(direction: str) -> None:
    case = CASE if direction == CASE.regeneration.direction else CASE.mirrored()
    spelled = case.replace({"recipe": case.regeneration.recipe()})
    assert spelled.cycle().to_dict() == case.cycle().to_dict()


def test_a_run_says_what_its_recipe_did() -> None:
    cycle = CASE.replace({"recipe": SPLIT}).cycle()
    steps = cycle.steps()
    assert list(steps["step"]) == ["brine", "standby", "brine", "slow rinse", "fast rinse", "service"]
    assert steps.loc[1, "direction"] == "no flow" and steps.loc[1, "minutes"] == pytest.approx(20.0)
    assert steps.loc[3, "ended"] == "rinsed"
    assert steps.loc[[0, 2], "volume_bv"].sum() == pytest.approx(cycle.brine_volume_bv)
    assert cycle.dose_g_per_l == 96.0
    assert not any("recipe" in note for note in cycle.notes)
    assert "standby" not in set(cycle.waste_curve()["step"])
    assert cycle.profiles()["step"].to_numpy().tolist() == steps["step"].tolist()
    assert cycle.ledger_error < 1e-10


def test_salt_by_volume_is_said() -> None:
    own = CASE.replace({"recipe": bf.Recipe([bf.Brine(volume_bv=1.0), bf.SlowRinse(), bf.FastRinse()])})
    cycle = own.cycle()
    # 10 % brine at 15 C: 1.0727 kg/L (CRC Handbook at 20 C 1.0707, from memory), so 107 g of salt in a bed volume.
    assert cycle.dose_g_per_l == pytest.approx(107.0, rel=5e-3)
    assert cycle.salt_kg == pytest.approx(cycle.dose_g_per_l * own.bed.volume_l / 1000.0)
    (note,) = (note for note in cycle.notes if note.startswith("recipe"))
    assert "regeneration.dose_g_per_l" in note
    assert " ".join(note.split()) in " ".join(cycle.summary().split())
    with pytest.raises(bf.InputError, match="equal leakage"):
        bf.compare(own, "equal-leakage")


def test_a_sweep_runs_over_steps() -> None:
    case = CASE.replace({"recipe": SPLIT, "service.volume_bv": None})
    grid = bf.sweep(case, {"recipe.1.minutes": [1.0, 240.0, -1.0]})
    capacity = grid["capacity_eq_per_l"].to_numpy()
    assert capacity[1] > capacity[0] and np.isnan(capacity[2])
    assert "recipe.1.minutes" in str(grid["error"].values[2])


def test_the_mirror_of_a_recipe() -> None:
    mirror = CASE.replace({"recipe": [bf.Brine(direction="counter-current"), bf.FastRinse()]}).mirrored()
    assert mirror.regeneration.direction == "co-current"
    assert mirror.recipe == bf.Recipe([bf.Backwash(mixing=1.0), bf.Brine(direction="co-current"), bf.FastRinse()])
    assert mirror.mirrored().recipe == bf.Recipe([bf.Brine(direction="counter-current"), bf.FastRinse()])


def test_a_recipe_from_a_file_is_drawn(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text(CASE.replace({"recipe": SPLIT}).to_toml(), encoding="utf-8")
    out = tmp_path / "sheet"
    command = [sys.executable, "-m", "brinefront", "compare", str(path), "--out", str(out)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    assert any(out.iterdir())
