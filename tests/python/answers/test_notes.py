"""Notes and outcomes are lines that a program need not read: their kind and their numbers are beside the words."""

from __future__ import annotations

import copy
import json
import pickle
import re
from pathlib import Path

import brinefront as bf
import pytest
from brinefront import _core

CASE = bf.default_case().replace({"cells": 10})


@pytest.fixture(scope="module")
def lifted() -> bf.Cycle:
    return CASE.replace({"bed.held_down": False}).cycle()


def test_a_note_has_the_numbers_of_its_words(lifted: bf.Cycle) -> None:
    notes = [note for note in lifted.notes if note.kind == "lifted"]
    assert [note.values["step"] for note in notes] == ["brine", "slow rinse"]
    steps = lifted.steps().set_index("step")
    for note in notes:
        step = steps.loc[note.values["step"]]
        assert note.values["velocity_m_per_h"] == pytest.approx(step["velocity_m_per_h"], rel=1e-12)
        assert note.values["lifts_from_m_per_h"] == pytest.approx(step["lifts_from_m_per_h"], rel=1e-12)
        assert f"lifts from {note.values['lifts_from_m_per_h']:.2f} m/h on" in note


def test_hydraulics_without_a_run_has_the_same_notes(lifted: bf.Cycle) -> None:
    kinds = [note.kind for notes in bf.hydraulics(lifted.case)["notes"] for note in notes]
    assert kinds == [note.kind for notes in lifted.hydraulics()["notes"] for note in notes]
    assert "lifted" in kinds


def test_an_outcome_is_a_member_and_its_numbers_are_beside_it(lifted: bf.Cycle) -> None:
    assert lifted.outcome is bf.Outcome.SETTLED
    assert (lifted.search_end.kind, lifted.search_end.values["cycles"]) == ("settled", lifted.cycles_run)
    assert f"settled in {lifted.cycles_run} cycles" in lifted.search_end
    hard = CASE.replace({"service.limit_mg_per_l_caco3": 1e-6, "service.volume_bv": None}).mirrored().cycle()
    assert (hard.outcome, hard.stop_reason) == (bf.Outcome.NEVER_SOFT, bf.StopReason.NEVER_SOFT)
    assert (f"{hard.outcome}", str(hard.stop_reason)) == ("never soft", "never soft")
    assert [type(value) for value in (hard.figures()["outcome"], hard.figures()["stop_reason"])] == [str, str]


def test_the_enumerations_are_those_of_the_crate() -> None:
    names = Path(__file__).resolve().parents[3] / "core" / "src" / "report" / "wording" / "names.rs"
    text = names.read_text(encoding="utf-8")
    for ours in (bf.Outcome, bf.StopReason):
        (block,) = re.findall(rf'words!\({ours.__name__}, read as "\w+" {{(.*?)}}\)', text, re.DOTALL)
        assert [str(member) for member in ours] == re.findall(r'=> "(.*?)"', block)


CHOICES = {
    "regeneration.direction": bf.Direction,
    "regeneration.salt": bf.Salt,
    "regeneration.brine_water": bf.BrineWater,
    "regeneration.slow_rinse_water": bf.BrineWater,
    "service.service_flow": bf.ServiceFlow,
    "kinetics": bf.Kinetics,
    "activity": bf.ActivityLaw,
    "bed.lifted_mixing": bf.LiftedMixing,
    "rates.film_correlation": bf.FilmCorrelation,
    "rates.film_diffusion": bf.FilmDiffusion,
    "resin.selectivity_basis": bf.SelectivityBasis,
    "water.unit": bf.ConcentrationUnit,
    "display.units": bf.DisplayUnits,
}


def test_a_choice_is_a_member_or_its_text_of_every_field_that_has_choices() -> None:
    known = {each["name"]: [choice["name"] for choice in each["choices"]] for each in _core.fields() if each["choices"]}
    own = {name: names for name, names in known.items() if not name.startswith("recipe.")}
    assert own == {name: [str(member) for member in choice] for name, choice in CHOICES.items()}
    of_steps = [names for name, names in known.items() if name.startswith("recipe.")]
    assert all(names in own.values() for names in of_steps)
    base = CASE.replace({"display": bf.Display("us")})
    for name, choice in CHOICES.items():
        for member in choice:
            assert (member, str(member), f"{member}", hash(member)) == (member.value,) * 3 + (hash(member.value),)
            # Mixing by dispersion wants a coefficient besides, and in other units this is no water.
            if member is not bf.LiftedMixing.DISPERSION and name != "water.unit":
                assert base.replace({name: member}) == base.replace({name: member.value}), name
    regeneration = bf.Regeneration(bf.Direction.CO_CURRENT, 96.0, salt=bf.Salt.POTASSIUM_CHLORIDE)
    assert (regeneration.direction, regeneration.salt) == ("co-current", "KCl")
    assert bf.Water({"Ca": 2.0, "Na": 1.0}, unit=bf.ConcentrationUnit.MMOL_PER_L).unit == "mmol/L"
    assert bf.Service(20.0, volume_bv=60.0, service_flow=bf.ServiceFlow.UP).service_flow == bf.ServiceFlow.UP


def test_members_go_where_their_texts_go() -> None:
    both = bf.compare(CASE, bf.At.EQUAL_DOSE)
    assert [cycle.direction for cycle in both.cycles] == [bf.Direction.COUNTER_CURRENT, bf.Direction.CO_CURRENT]
    assert both.cycles[0].direction is bf.Direction.COUNTER_CURRENT and both.at == bf.At.EQUAL_DOSE
    assert type(both.cycles[0].figures()["direction"]) is str
    assert json.loads(json.dumps(both.to_dict()))["cases"][0]["direction"] == "counter-current"
    with pytest.raises(bf.InputError) as refused:
        bf.compare(CASE, "at-random")
    assert all(f"{member}" in str(refused.value) for member in bf.At)
    members, texts = (
        bf.sweep(CASE, {"regeneration.direction": list(values)})
        for values in (bf.Direction, [str(member) for member in bf.Direction])
    )
    assert members["run_length_bv"].values.tolist() == texts["run_length_bv"].values.tolist()
    assert members.sel({"regeneration.direction": "co-current"}).equals(
        texts.sel({"regeneration.direction": "co-current"})
    )
    try:
        bf.set_display_units(bf.DisplayUnits.US)
        assert "lb of salt per ft3" in both.answer and bf.display_units() == bf.DisplayUnits.US
    finally:
        bf.set_display_units(None)


def test_every_kind_of_note_of_the_crate_is_said() -> None:
    source = Path(__file__).resolve().parents[3] / "core" / "src" / "report" / "note.rs"
    (body,) = re.findall(r"pub enum Note {(.*?)\n}", source.read_text(encoding="utf-8"), re.DOTALL)
    variants = re.findall(r"^    ([A-Z]\w+)", body, re.MULTILINE)
    kinds = {re.sub(r"(?<!^)(?=[A-Z])", "-", variant).lower() for variant in variants}
    assert kinds == set(re.findall(r'``"([a-z-]+)"``', bf.Note.__doc__ or ""))


def test_lines_are_copied_with_their_values_and_written_as_text(lifted: bf.Cycle) -> None:
    for line in (*lifted.notes, lifted.search_end):
        for again in (copy.deepcopy(line), pickle.loads(pickle.dumps(line))):
            assert (again, again.kind, again.values) == (line, line.kind, line.values)
            assert type(again) is type(line)
        assert json.loads(json.dumps(line)) == line
        with pytest.raises(TypeError):
            line.values["step"] = "brine"  # type: ignore[index]
    assert type(lifted.figures()["search_end"]) is str
