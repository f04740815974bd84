"""What stands beside the figures: targets of the site, rules of design, notes by weight, no minus zero."""

from __future__ import annotations

import json
import math

import brinefront as bf
import numpy as np
import pytest
from brinefront import plot
from brinefront.report.page import render
from brinefront.words import text

CASE = bf.default_case().replace({"cells": 10})


@pytest.fixture(scope="module")
def both() -> bf.Comparison:
    return bf.compare(CASE.replace({"site.salt_budget_kg_per_week": 50.0}))


def test_what_the_site_asks_is_in_every_answer(both: bf.Comparison) -> None:
    for cycle in both.cycles:
        kinds = [(target.kind, target.met) for target in cycle.site_targets]
        soft_enough = cycle.direction == "counter-current"
        assert kinds == [("salt budget", False), ("accepted leakage", soft_enough), ("water use", True)]
        budget = cycle.site_targets[0]
        assert budget.values["found"] == cycle.salt_kg_per_week
        assert f"Site: {budget}." in cycle.summary()
        assert str(budget) in " ".join(both.summary().split())
    data = json.loads(json.dumps(both.to_dict()))
    target = data["cases"][0]["site_targets"][0]
    assert (target["target"], target["met"], target["asked"]) == ("salt budget", False, 50.0)
    page = render(both)
    assert "What the site asks" in page and "51.1, missed" in page
    words = [each.get_text() for ax in both.sheet().axes for each in ax.texts]
    assert words.count("51.1, missed") == 2


def test_only_rules_that_a_cycle_is_outside_of_are_shouted(both: bf.Comparison) -> None:
    told = text.notes(both.cycles)
    rules = {rule.kind: rule for cycle in both.cycles for rule in cycle.design_rules}
    assert not rules["fast rinse"].inside and rules["brine flow"].inside
    assert any(line.startswith("fast rinse: outside") for line in told)
    assert not any(line.startswith("brine flow") for line in told)
    page = render(both)
    assert "brine flow" in page and "0.25 to 0.40 gpm/ft³: trade journal, 2014" in page


def test_notes_without_consequence_are_in_the_report_alone(both: bf.Comparison) -> None:
    fingers = [str(note) for note in both.cycles[0].notes if note.weight == "assumed"]
    assert fingers and all("fingers" in note for note in fingers)
    assert not any("fingers" in line for line in text.notes(both.cycles))
    assert "fingers" not in both.cycles[0].summary()
    assert "fingers" in render(both)
    assert any("fingers" in note for note in both.to_dict()["cases"][0]["notes"])


def test_what_is_to_be_done_comes_first() -> None:
    lifted = CASE.replace(
        {"bed.held_down": False, "water.balance": None, "water.ions": {"Ca": 80.0, "Mg": 24.0}}
    ).cycle()
    ranks = {str(note): text.WEIGHTS.index(note.weight) for note in lifted.notes}
    found = [ranks[line] for line in text.notes([lifted], every=True) if line in ranks]
    assert found == sorted(found) and set(found) == {0, 1, 2}


def test_a_lifted_bed_that_was_not_said_to_be_held_says_what_it_assumes() -> None:
    unsaid = CASE.replace({"bed.held_down": None})
    assert unsaid.bed.held_down is None and "held_down" not in unsaid.to_toml()
    cycle = unsaid.cycle()
    assert cycle.summary().splitlines()[2] == "Assumes the bed is held down."
    assert CASE.bed.held_down is True and "ssumes" not in CASE.cycle().summary()
    free = CASE.replace({"bed.held_down": False})
    assert free.bed.held_down is False and "held_down = false" in free.to_toml()
    assert "keep their places" in free.cycle().assumed_of_the_bed
    assert (
        free.cycle().summary().splitlines()[2].startswith("Shows the packed bed: its upflow lifts it and nothing holds")
    )
    assert bf.compare(free).answer.startswith("The answer for counter-current shows the packed bed: ")


HARD = {
    "service.limit_mg_per_l_caco3": None,
    "service.volume_bv": 1500.0,
    "site.accepted_leakage_mg_per_l_caco3": None,
}


def test_water_that_stays_hard_is_called_soft_nowhere() -> None:
    both = bf.compare(CASE.replace(HARD))
    cycle = both.cycles[0]
    (note,) = [note for note in cycle.notes if note.kind == "not-soft"]
    half = 0.5 * cycle.feed_hardness_mg_per_l_caco3
    assert cycle.leakage_mean_mg_per_l_caco3 > half and not cycle.delivers_soft_water
    assert note.values["leakage_mean_mg_per_l_caco3"] == cycle.leakage_mean_mg_per_l_caco3
    assert (note.values["most_mg_per_l_caco3"], note.values["accepted_by_site"]) == (pytest.approx(half), False)
    weekly = [name for name in cycle.figures() if name.endswith("per_week")]
    assert len(weekly) == 5 and all(math.isnan(getattr(cycle, name)) for name in (*weekly, "salt_kg_per_m3"))
    # The headline, of the comparison and of the cycle, in the units of both.
    assert both.answer.startswith("Counter-current delivers no soft water: it leaks ")
    assert both.sentence_us.startswith("Counter-current delivers no soft water: it leaks ")
    assert cycle.summary().splitlines()[2].startswith("Service: what it delivers is no soft water, it leaks ")
    assert " ".join(cycle.summary().split()).count("no soft water, it leaks") == 1
    # The figure where it stands, in a table, a summary, a sheet, a report and a file.
    marked = f"{text.number(cycle.run_length_l)} (not soft)"
    label = next(each for each in both.table().index if each.startswith("soft water of one run ["))
    assert both.table().loc[label].str.endswith(" (not soft)").all()
    assert any(marked in line for line in both.summary().splitlines() if line.startswith("soft water of one run"))
    assert marked in {each.get_text() for ax in both.sheet().axes for each in ax.texts}
    assert marked in render(both) and "delivers no soft water" in render(both)
    (bar,) = [each.get_text() for each in plot.drain(cycle).texts]
    assert bar.strip() == f"no soft water, a mean of {text.number(cycle.leakage_mean_mg_per_l_caco3)} mg/L as CaCO3"
    found = bf.sweep(CASE.replace(HARD), {"service.volume_bv": [60.0, 1500.0]})
    assert found["delivers_soft_water"].to_numpy().tolist() == [True, False]
    assert np.isnan(found["salt_kg_per_m3"].to_numpy()).tolist() == [False, True]


def test_what_the_site_accepts_says_what_is_soft_where_no_limit_does() -> None:
    metered = CASE.mirrored().replace({"service.limit_mg_per_l_caco3": None, "service.volume_bv": 60.0})
    mean = metered.cycle().leakage_mean_mg_per_l_caco3
    name = "site.accepted_leakage_mg_per_l_caco3"
    strict, lax = (metered.replace({name: factor * mean}).cycle() for factor in (0.5, 2.0))
    assert (strict.delivers_soft_water, lax.delivers_soft_water) == (False, True)
    assert strict.run_length_bv == lax.run_length_bv and math.isnan(strict.salt_kg_per_week)
    assert lax.salt_kg_per_week > 0.0 and "not soft" not in lax.summary()
    assert "that the site accepts" in strict.summary()
    # With a limit, what the site accepts is missed and no more.
    limited = metered.replace({name: 0.5 * mean, "service.limit_mg_per_l_caco3": 17.0}).cycle()
    assert limited.delivers_soft_water and limited.salt_kg_per_week == lax.salt_kg_per_week


def test_no_zero_has_a_sign() -> None:
    assert [text.fixed(value, 1) for value in (-0.04, -0.0, 0.04, -0.06)] == ["0.0", "0.0", "0.0", "-0.1"]
    assert [text.fixed(value, 1, signed=True) for value in (-0.04, 0.06, -0.06)] == ["0.0", "+0.1", "-0.1"]
    account = CASE.salt_account()
    assert not any(
        cell.startswith("-") and not cell.strip("-0.") for row in account.rows() for cell in row if cell != "-"
    )


def test_potassium_is_named_where_it_is_the_salt() -> None:
    case = bf.default_case().replace({"cells": 20, "service.volume_bv": 60.0})
    both = bf.compare([case, case.replace({"regeneration.salt": "KCl"})])
    assert "g/L of KCl)" in both.answer and "g/L of NaCl)" in both.answer
    words = both.summary()
    assert "counter-current, KCl" in words and "counter-current, NaCl" in words
    assert any("potassium" in line for line in text.cautions(both.cycles))
    assert not any("potassium" in line for line in text.cautions(both.cycles[:1]))


def test_a_longer_run_may_hold_where_a_short_one_does_not() -> None:
    """After a hard rinse the first water leaks most, so that the mean falls as the run grows."""
    case = bf.default_case().replace(
        {
            "cells": 100,
            "service.volume_bv": None,
            "regeneration.brine_water": "soft",
            "regeneration.slow_rinse_water": "feed",
            "regeneration.slow_rinse_bv": 3.0,
        }
    )
    assert case.regeneration.direction == "counter-current"
    found = bf.compare([case], at="leakage", mean=1.0)
    assert found.bounds[0] is bf.LeakageBound.LEAKAGE and "no run was found" not in found.answer
    cycle = found.cycles[0]
    assert cycle.settled and 0.8 < cycle.leakage_mean_mg_per_l_caco3 <= 1.0
    # At that dose half the run leaks more.
    short = case.replace(
        {"regeneration.dose_g_per_l": cycle.dose_g_per_l, "service.volume_bv": 0.5 * cycle.run_length_bv}
    )
    assert short.cycle().leakage_mean_mg_per_l_caco3 > 1.0
    assert "no reserve: set the meter lower" in found.answer


def test_the_budget_is_for_salt_as_it_is_sold() -> None:
    """What the owner pays for is bought, not pure."""
    pure = CASE.cycle()
    weekly = pure.salt_kg_per_week
    budget = {"site.salt_budget_kg_per_week": 1.1 * weekly}
    sold = CASE.replace({**budget, "regeneration.salt_purity_percent": 80.0}).cycle()
    assert sold.salt_as_sold_kg_per_week == pytest.approx(sold.salt_kg_per_week / 0.8)
    met = [
        next(target.values["met"] for target in cycle.site_targets if target.kind == "salt budget")
        for cycle in (CASE.replace(budget).cycle(), sold)
    ]
    assert met == [True, False]
    assert math.isnan(pure.salt_as_sold_kg_per_week)


def test_first_water_that_is_harder_than_the_limit_is_told() -> None:
    """The limit is armed when what stood in the vessel has left: a short rinse leaves brine for the users."""
    short = {"regeneration.slow_rinse_bv": 0.3, "regeneration.fast_rinse_bv": 0.2, "service.limit_mg_per_l_caco3": 17.0}
    cycle = CASE.replace(short).cycle()
    (note,) = [note for note in cycle.notes if note.kind == "first-water-hard"]
    assert note.values["leakage_initial_mg_per_l_caco3"] == cycle.leakage_initial_mg_per_l_caco3 > 100.0
    assert note.values["leakage_maximum_mg_per_l_caco3"] == cycle.leakage_maximum_mg_per_l_caco3
    assert "rinse longer" in cycle.summary()
    assert not [note for note in CASE.cycle().notes if note.kind == "first-water-hard"]


def test_the_sentence_names_hard_rinses_and_unlike_feeds() -> None:
    hard = CASE.replace({"regeneration.slow_rinse_water": "feed"})
    said = bf.compare([hard, CASE.mirrored()]).sentence
    assert "The slow rinse of counter-current is hard water." in said
    harder = CASE.mirrored().replace({"water.ions": {**CASE.water.ions, "Ca": 1.3 * CASE.water.ions["Ca"]}})
    assert "Their feeds differ: " in bf.compare([CASE, harder]).sentence
    assert "Their feeds differ" not in bf.compare(CASE).sentence


def test_cases_of_one_name_are_told_apart() -> None:
    named = CASE.replace({"name": "Mill"})
    said = bf.compare([named, named.replace({"regeneration.flow_bv_per_h": 5.0})]).sentence
    assert "case 1, Mill" in said and "case 2, Mill" in said.lower().replace("mill", "Mill")
