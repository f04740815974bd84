"""Activities and named sets of selectivities, as a case has them in Python."""

from __future__ import annotations

import brinefront as bf
import pytest

CASE = bf.default_case().replace({"cells": 30, "tolerance": 1e-3})
SEEN = {"Ca": 2.6}


def test_a_case_names_its_activity_law() -> None:
    assert CASE.activity == "ideal"
    case = CASE.replace({"activity": "pitzer"})
    assert case.activity == "pitzer"
    assert "activity='pitzer'" in repr(case)
    assert "activity" not in repr(CASE)
    parts = (case.water, case.resin, case.bed, case.service, case.regeneration)
    assert bf.Case(*parts, activity="pitzer").activity == "pitzer"
    assert 'activity = "pitzer"' in case.to_toml()
    assert bf.Case.from_json(case.to_json()) == case


def test_activity_changes_a_cycle_and_says_at_which_temperature() -> None:
    co_current = CASE.mirrored()
    ideal, pitzer = (co_current.replace({"activity": law}).cycle() for law in ("ideal", "pitzer"))
    assert pitzer.capacity_eq_per_l > ideal.capacity_eq_per_l
    assert pitzer.ledger_error < 1e-10
    assert any("stand at 25 C, the water is at 15 C" in note for note in pitzer.notes)


def test_an_isotherm_with_activities() -> None:
    brine = {"Na": 1.8, "Ca": 0.2}
    ideal, pitzer = (bf.equilibrium(brine, SEEN, 2.0, activity=law)["Ca"] for law in ("ideal", "pitzer"))
    assert pitzer < 0.75 * ideal
    # At infinite dilution every law is the ideal one.
    water = {"Na": 5e-9, "Ca": 5e-9}
    dilute = [bf.equilibrium(water, SEEN, 2.0, activity=law)["Ca"] for law in ("ideal", "davies", "pitzer")]
    assert dilute == pytest.approx([dilute[0]] * 3, rel=1e-4)
    with pytest.raises(bf.InputError, match=r"0\.5 mol/kg"):
        bf.equilibrium(brine, SEEN, 2.0, activity="davies")
    with pytest.raises(bf.InputError, match="NH4"):
        bf.equilibrium({"Na": 0.1, "NH4": 0.1}, {"NH4": 1.3}, 2.0, activity="pitzer")


def test_sets_say_where_they_are_from_and_where_they_hold() -> None:
    sets = {known["name"]: known for known in bf.selectivity_sets()}
    assert list(sets) == ["BonnerSmith1957", "Bonner1955", "Clifford1999"]
    for known in sets.values():
        assert known["source"]
        assert known["validity"]
        low, high = known["normality_eq_per_l"]
        assert 0 <= low < high
    assert sets["BonnerSmith1957"]["kind"] == "relative"
    assert sets["BonnerSmith1957"]["values"]["8"]["Ca"] == 5.16
    assert sets["Clifford1999"]["kind"] == "separation-factor"


def test_a_resin_names_a_column() -> None:
    resin = bf.Resin(selectivity="Bonner1955", crosslinking_percent=10, selectivity_at_eq_per_l=0.1)
    assert (resin.crosslinking_percent, resin.selectivity_at_eq_per_l) == (10.0, 0.1)
    assert eval(repr(resin), {"Resin": bf.Resin}) == resin
    assert bf.Resin.from_json(resin.to_json()) == resin
    sodium_potassium = bf.Water({"Na": 1.0, "K": 1.0}, unit="meq/L")
    case = bf.Case(sodium_potassium, resin, CASE.bed, CASE.service, CASE.regeneration, cells=10)
    held = case.load(from_loading="feed", volume_bv=1.0).loading()
    # K of potassium against sodium is 4.15/2.23 in that column, and the loadings' ratio in equal parts of both.
    assert float(held["K"].iloc[0] / held["Na"].iloc[0]) == pytest.approx(4.15 / 2.23, rel=1e-6)
