"""A bed above its limit told apart; the least salt for a leakage; what an answer says of its errors.

Held against what the words mean, by further cycles: no source is needed.
"""

from __future__ import annotations

import json
import subprocess
import sys

import brinefront as bf
import pytest
from brinefront.words import text

CASE = bf.default_case().replace({"cells": 20})
# Its outlet is hard after a run to the limit, and soft after shorter ones.
POOR = CASE.mirrored().replace({"regeneration.dose_g_per_l": 25.0, "service.volume_bv": None})


@pytest.fixture(scope="module")
def poor() -> bf.Cycle:
    return POOR.cycle()


def test_soft_after_shorter_runs_is_not_never_soft(poor: bf.Cycle) -> None:
    assert poor.outcome is bf.Outcome.CANNOT_RECOVER
    assert poor.search_end.kind == "cannot-recover"
    assert poor.search_end.values["longest_metered_bv"] == poor.longest_metered_bv
    metered = poor.longest_metered
    assert metered is not None and metered.settled and metered.longest_metered is None
    assert metered.run_length_bv == pytest.approx(poor.longest_metered_bv)
    assert metered.leakage_mean_mg_per_l_caco3 <= POOR.service.limit_mg_per_l_caco3
    assert POOR.replace({"regeneration.dose_g_per_l": 1.02 * poor.soft_from_dose_g_per_l}).cycle().settled


def test_every_answer_says_the_same_of_it(poor: bf.Cycle) -> None:
    longest = text.number(poor.longest_metered_bv)
    both = bf.compare(POOR)
    for words in (poor.summary(), both.summary(), both._repr_html_(), poor._repr_html_()):
        assert "never soft" not in words.lower()
        assert "cannot recover" in words.lower() and longest in words
    assert "Co-current cannot recover from a run to 17.0 mg/L" in both.sentence
    shown = bf.sweep(POOR, {"regeneration.dose_g_per_l": [25.0, 96.0]})
    assert [str(value) for value in shown["outcome"].values] == ["cannot recover", "settled"]


def test_a_bed_that_no_run_makes_soft() -> None:
    hard = POOR.replace({"service.limit_mg_per_l_caco3": 1e-6}).cycle()
    assert hard.outcome is bf.Outcome.NEVER_SOFT
    assert hard.longest_metered is None and hard.longest_metered_bv != hard.longest_metered_bv
    assert "even after runs as short as" in hard.summary()


@pytest.mark.parametrize("measure", ["mean", "half_run", "end", "max"])
def test_least_salt_keeps_the_leakage_and_says_what_bounds_it(measure: str) -> None:
    found = bf.compare(CASE, at="leakage", **{measure: 2.0})
    figure = {"max": "maximum"}.get(measure, measure)
    assert found.target == bf.LeakageTarget(measure.replace("_", "-"), 2.0, None)
    for cycle in found.cycles:
        assert cycle.settled and getattr(cycle, f"leakage_{figure}_mg_per_l_caco3") <= 2.0
    counter, co = found.cycles
    assert counter.salt_kg_per_m3 < co.salt_kg_per_m3
    assert found.bounds[0] is bf.LeakageBound.LEAST_DOSE
    assert set(found.to_dict()) == {"cases", "at", "target", "bounds", "sentence", "effort"}


def test_a_held_run_is_delivered() -> None:
    found = bf.compare(CASE, at="leakage", mean=2.0, run_bv=100.0)
    assert [round(cycle.run_length_bv, 6) for cycle in found.cycles] == [100.0, 100.0]
    assert "over 100 bed volumes a run" in found.sentence


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"at": "leakage"}, "needs one of mean, half_run, end and max, not 0"),
        ({"at": "leakage", "mean": 1.0, "end": 1.0}, "not 2 of them"),
        ({"mean": 1.0}, 'goes with at="leakage" alone'),
        ({"run_bv": 1.0}, 'goes with at="leakage" alone'),
        ({"at": "leakage", "mean": 1e4}, "below the feed's hardness"),
        ({"at": "leakage", "mean": -1.0}, "above 0"),
        ({"at": "leakage", "mean": 1.0, "run_bv": 0.0}, "above 0"),
        ({"at": "leakage", "mean": 1.0, "run_bv": 1.0}, "the water that its regeneration takes"),
        ({"at": "leakage", "mean": 1.0, "run_bv": True}, "plain number"),
        ({"at": "leakage", "mean": [1.0]}, "plain number"),
        ({"at": "leakage", "mean": "1.0"}, "one of the units"),
        ({"at": "leakage", "mean": "1 ppm"}, "as CaCO3 or as the ion"),
        ({"at": "leakage", "mean": 1.0, "run": "3 lb"}, "run = 3 lb: must be a number with one of the units BV"),
        ({"at": "leakage", "mean": 1.0, "run": 3.0}, "run_bv a plain number"),
        ({"at": "leakage", "mean": 1.0, "run": "900 gal", "run_bv": 3.0}, "given twice"),
        ({"run": "900 gal"}, 'goes with at="leakage" alone'),
    ],
)
def test_a_target_that_makes_no_sense_is_refused(asked: dict[str, object], words: str) -> None:
    with pytest.raises(bf.InputError, match=words):
        bf.compare(CASE, **asked)


def test_a_target_takes_texts_with_units() -> None:
    case = CASE.replace({"cells": 10})
    bv = bf.units.convert(3000.0, "gal", "L") / case.bed.volume_l
    plain = bf.compare(case, at="leakage", mean=bf.units.convert(0.2, "gr/gal", "mg/L CaCO3"), run_bv=bv)
    said = bf.compare(case, at="leakage", mean="0.2 gr/gal as CaCO3", run="3000 gal")
    assert said.target == bf.LeakageTarget("mean", pytest.approx(0.2 * 17.118061), pytest.approx(bv))
    assert said.sentence == plain.sentence
    other = case.replace({"bed.depth_m": 1.2})
    with pytest.raises(bf.InputError, match="another number in each of the beds"):
        bf.compare([case, other], at="leakage", mean=1.0, run="3000 gal")
    asked = ["compare", "--at", "leakage", "--mean", "3 ppm as CaCO3", "--run", "3000 gal", "--json"]
    done = subprocess.run([sys.executable, "-m", "brinefront", *asked], capture_output=True, text=True, check=True)
    assert json.loads(done.stdout)["target"] == {"measure": "mean", "mg_per_l_caco3": 3.0, "run_bv": pytest.approx(bv)}


def test_the_command_takes_a_leakage_and_says_both_halves() -> None:
    run = [sys.executable, "-m", "brinefront", "compare", "--at", "leakage", "--mean", "5", "--run", "120", "--json"]
    done = subprocess.run(run, capture_output=True, text=True, check=True)
    found = json.loads(done.stdout)
    assert found["target"] == {"measure": "mean", "mg_per_l_caco3": 5.0, "run_bv": 120.0}
    assert all(case["leakage_mean_mg_per_l_caco3"] <= 5.0 for case in found["cases"])
    both = bf.compare(CASE, at_accepted=True)
    assert both.at_accepted is not None
    assert "needs" in both.answer and both.answer.count("below what a field test shows") <= 1
    accepted = CASE.site.accepted_leakage_mg_per_l_caco3 if CASE.site else None
    assert both.at_accepted.target == bf.LeakageTarget("mean", accepted, None)
    # The direction matters to the built-in site: it meets what is accepted one way, and not the other.
    assert [cycle.leakage_mean_mg_per_l_caco3 <= accepted for cycle in both.cycles] == [True, False]


def test_an_error_that_counts_stands_beside_its_figure() -> None:
    cycle = CASE.replace({"cells": 60, "regeneration.brine_water": "feed"}).cycle()
    assert cycle.leakage_half_run_error_fraction > 0.02
    shown = text.shown(cycle, "leakage_half_run_mg_per_l_caco3")
    value, error = map(float, shown.split(" +- "))
    assert error == pytest.approx(cycle.leakage_half_run_error_fraction * value, rel=0.6)
    assert shown in cycle.summary() and shown in bf.compare(cycle.case).sentence


def test_no_difference_within_its_error_is_claimed() -> None:
    case = CASE.replace({"cells": 60})
    # A tenth of a per cent of salt makes no difference that this grid could tell.
    words = bf.compare([case.mirrored(), case.mirrored().replace({"regeneration.dose_g_per_l": 96.05})]).sentence
    assert "no more than the numerical error" in words, words


def test_what_is_not_met_is_said_and_ends_the_command_so() -> None:
    found = bf.compare(CASE, at="leakage", mean=1e-300)
    assert set(found.bounds) == {bf.LeakageBound.NOT_MET}
    assert found.summary().count("NOT MET") == 2 and "1e-300" in found.sentence
    far = bf.compare(CASE, at="leakage", mean=1.0, run_bv=900.0)
    assert set(far.bounds) == {bf.LeakageBound.RUN}
    assert far.sentence.startswith("No dose up to 640 g/L delivers") and far.summary().count("NOT MET") == 2
    run = [sys.executable, "-m", "brinefront", "compare", "--at", "leakage", "--mean", "1", "--run", "900"]
    done = subprocess.run(run, capture_output=True, text=True, check=False)
    assert done.returncode == 3 and "NOT MET" in done.stdout


def test_a_sentence_in_the_units_of_the_trade_has_the_numbers_of_the_table() -> None:
    case = CASE.replace({"regeneration.dose": "8 lb/ft3", "display": bf.Display("us")})
    both = bf.compare(case, at_accepted=True)
    assert both.answer.startswith("At 8.00 lb of salt per ft3 of resin")
    assert both.sentence.startswith("At 128 g of salt per litre of resin")
    least = both.at_accepted
    assert least is not None
    for cycle in least.cycles:
        a_week = bf.units.convert(cycle.salt_kg_per_week, "kg", "lb")
        assert f"{text.number(a_week)} lb a week" in both.answer


def test_where_the_first_water_leaks_most_long_runs_are_found_too() -> None:
    """Held by a short run at any dose, and by long ones with more salt: the run that is free needs no more salt than one held."""
    wash = bf.Case.from_toml(
        """
        schema = 1
        cells = 20
        water = { unit = "mg/L CaCO3", temperature_c = 11.0, ions = { Ca = 137, Mg = 68, Na = 33, HCO3 = 140, SO4 = 30 }, balance = "Cl" }
        bed = { volume_l = 283.0, diameter_m = 0.61, freeboard_l = 378.0 }
        service = { flow_bv_per_h = 24.0, limit_mg_per_l_caco3 = 17.1 }
        regeneration = { direction = "co-current", dose_g_per_l = 96.0, brine_water = "feed" }
        """
    )
    needs = [
        bf.compare([wash], at="leakage", max=17.1, run_bv=run).cycles[0].salt_kg_per_m3 for run in (None, 150.0, 250.0)
    ]
    assert needs[0] <= 1.04 * min(needs[1:]), needs
