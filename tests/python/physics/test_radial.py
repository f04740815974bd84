"""Radial beads from Python: their arguments, and what they change in a softener."""

from __future__ import annotations

import copy
import pickle

import brinefront as bf
import pytest

BY_ION = {"Na": 1e-10, "K": 1e-10, "Mg": 2.5e-11, "Ca": 2e-11}
SIZES = [(0.35, 0.25), (0.5, 0.5), (0.75, 0.25)]


def _softener(**resin: object) -> bf.Case:
    case = bf.default_case().replace({"cells": 30})
    return bf.Case(
        case.water,
        bf.Resin(**resin),  # type: ignore[arg-type]
        case.bed,
        case.service,
        case.regeneration,
        cells=30,
        kinetics="radial",
    )


def test_arguments_go_through_text_and_pickle() -> None:
    case = _softener(bead_diffusivity_m2_per_s=BY_ION, bead_sizes=SIZES, sorbed_salt=True, bead_water_fraction=0.5)
    case = case.replace({"shells": 14})
    assert (case.kinetics, case.shells, case.resin.bead_sizes) == ("radial", 14, tuple(SIZES))
    assert case.resin.sorbed_salt and case.resin.bead_water_fraction == 0.5
    for other in (bf.Case.from_json(case.to_json()), pickle.loads(pickle.dumps(case)), copy.deepcopy(case)):
        assert other == case
    assert case.replace({"shells": "fitted"}).shells == bf.default_case().shells == "fitted"
    text = repr(case)
    assert "shells=14" in text and "bead_sizes=[(0.35, 0.25), (0.5, 0.5), (0.75, 0.25)]" in text
    assert eval(text, vars(bf)) == case


def test_a_radial_softener_settles_and_says_so() -> None:
    lumped = _softener(bead_diffusivity_m2_per_s=BY_ION).replace({"kinetics": "lumped"}).cycle()
    radial = _softener(bead_diffusivity_m2_per_s=BY_ION, sorbed_salt=True).cycle()
    for cycle in (lumped, radial):
        assert cycle.residual <= 1e-6 and cycle.ledger_error < 1e-10
    assert radial.leakage_half_run_mg_per_l_caco3 != lumped.leakage_half_run_mg_per_l_caco3


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"shells": 1}, 'shells = 1: must be a whole number from 2 to 100, or "fitted"'),
        ({"shells": "ordinary"}, "shells"),
        ({"kinetics": "spherical"}, "expected one of `equilibrium`, `lumped`, `interdiffusion`, `radial`"),
        ({"resin.bead_sizes": [{"diameter_mm": 0.4, "share": 0.5}]}, "sum to 1"),
        ({"resin.bead_sizes": [{"diameter_mm": 9.0, "share": 1.0}]}, "bead_sizes"),
        ({"resin.bead_sizes": [{"diameter_mm": 0.4, "share": 1.0}], "kinetics": "lumped"}, "radial"),
        ({"resin.bead_water_fraction": 1.5}, "bead_water_fraction"),
    ],
)
def test_bad_input_names_the_field(changes: dict[str, object], words: str) -> None:
    with pytest.raises(bf.InputError, match=words):
        _softener().replace(changes)


def test_sets_of_diffusivities_say_where_they_are_from_and_where_they_hold() -> None:
    sets = {known["name"]: known for known in bf.diffusivity_sets()}
    assert list(sets) == ["BoydSoldano1953", "Oancea2006", "AboutTenthOfSodium", "MackieMeares1955"]
    for known in sets.values():
        assert known["source"] and known["read"] and known["conditions"] and known["validity"]
        assert known["temperature_c"] == 25.0
    assert sets["BoydSoldano1953"]["values"]["8.6"] == {"Na": 9.4e-11}
    assert sets["BoydSoldano1953"]["neighbours"]["8.6"]["Zn"] == 6.3e-12
    assert tuple(sets["AboutTenthOfSodium"]["spread"]["8.6"]["Ca"]) == (5e-12, 2e-11)
    assert sets["AboutTenthOfSodium"]["reasons"]["Ca"]
    assert sets["MackieMeares1955"]["values"] == {}


def test_a_resin_names_its_diffusivities() -> None:
    name = "AboutTenthOfSodium"
    case = _softener(bead_diffusivity_m2_per_s=name)
    assert case.resin.bead_diffusivity_m2_per_s == name
    assert eval(repr(case.resin), vars(bf)) == case.resin
    assert bf.Case.from_toml(case.to_toml()) == bf.Case.from_json(case.to_json()) == case
    # The same as its numbers by ion.
    numbers = next(known["values"]["8.6"] for known in bf.diffusivity_sets() if known["name"] == name)
    by_ion = case.replace({"resin.bead_diffusivity_m2_per_s": numbers})
    one, other = (each.load(from_loading={"Na": 1.0}, volume_bv=50.0).loading() for each in (case, by_ion))
    assert one.equals(other)
