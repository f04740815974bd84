"""One choice of units for everything that is shown: tables, sentences, pictures and reports; machines see none of it."""

from __future__ import annotations

import copy
import json
import pickle
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import brinefront as bf
import matplotlib as mpl
import pytest
from brinefront import cli, plot
from brinefront.units import display
from brinefront.words import notebook, text

mpl.use("agg")

CASE = bf.default_case().replace({"cells": 10})
# Units as they are written in tables, in words and on axes; bed volumes, mg/L, per cent and hours are of both.
METRIC = re.compile(
    r"(?<![\w./])(g/L|eq/L|kg|kg/m3|m3|m³|L|m/h|kPa|eq/kg|g per litre|eq per litre|g of (?:salt|NaCl)|litre)(?![\w/])|\[(?:m|g)\]"
)
AMERICAN = re.compile(
    r"(?<![\w./])(lb|gal|ft3|ft³|gr/lb|kgr/ft3|kgr/ft³|gpm/ft2|gpm/ft3|psi|in|lb/ft3|lb/1000 gal)(?![\w/])"
)


@pytest.fixture(autouse=True)
def as_before() -> Iterator[None]:
    yield
    bf.set_display_units(None)


@pytest.fixture(scope="module")
def both() -> bf.Comparison:
    return bf.compare(CASE)


def test_a_choice_is_one_of_three() -> None:
    assert bf.display_units() == "both"
    for units in ("metric", "us", "both"):
        bf.set_display_units(units)
        assert bf.display_units() == units
    with pytest.raises(bf.InputError, match="metric, us, both"):
        bf.set_display_units("imperial")
    assert bf.display_units() == "both"


def units_in(shown: str) -> tuple[set[str], set[str]]:
    """The metric units and the American ones in brackets of a table, or behind numbers in prose."""
    brackets = " ".join(re.findall(r"\[([^\]]+)\]", shown))
    behind = " ".join(re.findall(r"\d (g of salt|lb of salt|m/h|gpm/ft2|kg/m3|lb/ft3|g/L|L|gal|kg|lb)(?![\w/])", shown))
    return set(METRIC.findall(f"{brackets} {behind}")), set(AMERICAN.findall(f"{brackets} {behind}"))


@pytest.mark.parametrize("units", ["metric", "us"])
def test_text_and_tables_show_one_system(both: bf.Comparison, units: str) -> None:
    account = CASE.salt_account()
    bf.set_display_units(units)
    shown = [both.summary(), both.cycles[0].summary(), "\n".join(both.table().index), account.sentence()]
    shown += [" ".join(text.account_heads()), "\n".join(text.notes(both.cycles))]
    for each in shown:
        metric, american = units_in(each)
        assert not (american if units == "metric" else metric), each
    key = both.summary()
    assert ("lb/ft3" in key, "[g/L of resin]" in key, "kgr/ft3" in key) == (
        (units == "us"),
        units != "us",
        units == "us",
    )
    html = re.sub(r"<style>.*?</style>|<[^>]+>", " ", both._repr_html_() + notebook.account(account))
    assert ("kgr/ft" in html) == (units == "us") and ("eq/L of bed" in html) == (units == "metric")


def test_numbers_are_converted_with_their_units(both: bf.Comparison) -> None:
    cycle = both.cycles[0]
    bf.set_display_units("us")
    rows = {each.label: values[0] for each, values in text.key_rows(both.cycles)}
    expected = {
        "salt dose [lb/ft3 of resin]": bf.units.convert(96.0, "g/L", "lb/ft3"),
        "salt of one regeneration [lb]": cycle.figure("salt_kg", "lb"),
        "soft water of one run [gal]": cycle.figure("run_length_l", "gal"),
        "operating capacity [kgr/ft3]": cycle.capacity_kgr_per_ft3,
        "salt efficiency [gr/lb]": cycle.salt_efficiency_gr_per_lb,
        # Pounds for a thousand gallons.
        "salt for soft water left for use [lb/1000 gal]": 1000.0
        * cycle.figure("salt_kg", "lb")
        / cycle.figure("soft_water_l", "gal"),
        "salt a week [lb]": bf.units.convert(cycle.salt_kg_per_week, "kg", "lb"),
    }
    assert {name: rows[name] for name in expected} == {name: text.number(value) for name, value in expected.items()}
    table = both.table(digits=None)
    hardness = bf.units.convert(cycle.feed_hardness_mg_per_l_caco3, "mg/L CaCO3", "gr/gal")
    assert table.loc["hardness of the feed [gr/gal as CaCO3]"].iloc[0] == pytest.approx(hardness, rel=1e-12)
    assert "leakage, mean [mg/L as CaCO3]" in table.index
    assert len(table.index) == len(set(table.index))


def test_both_is_metric_with_the_trade_beside_it(both: bf.Comparison) -> None:
    labels = [each.label for each, _ in text.key_rows(both.cycles)]
    assert {"operating capacity [eq/L of bed]", "operating capacity [kgr/ft3]", "salt dose [g/L of resin]"} <= set(
        labels
    )


def test_sentences_of_the_library_come_in_each_system() -> None:
    case = CASE.replace({"bed.held_down": False})
    cycle = case.cycle()
    lifted = next(note for note in cycle.notes if note.kind == "lifted")
    assert display.said(lifted) is lifted and "m/h" in lifted
    assert lifted.us.us == lifted.us != lifted and (lifted.us.values, lifted.us.weight) == (
        lifted.values,
        lifted.weight,
    )
    for again in (pickle.loads(pickle.dumps(lifted)), copy.deepcopy(lifted)):
        assert (again, again.us, again.values) == (lifted, lifted.us, lifted.values)
    bf.set_display_units("us")
    velocity = bf.units.convert(lifted.values["velocity_m_per_h"], "m/h", "gpm/ft2")
    assert f"{velocity:.3g}"[:4] in display.said(lifted) and "gpm/ft2 upward lifts" in display.said(lifted)
    assert display.said(lifted) in text.notes([cycle])
    hydraulics = [note for table in (bf.hydraulics(case), cycle.hydraulics()) for row in table["notes"] for note in row]
    assert display.said(lifted) in hydraulics and {note.kind for note in hydraulics} >= {"lifted", "fingers"}
    for each in (*hydraulics, *text.notes([cycle], every=True)):
        assert not re.search(r"\d (m/h|m|kg/m3|g/L|C)\b", each), each
    bf.set_display_units(None)
    words = [note for row in bf.hydraulics(case.replace({"display": bf.Display("us")}))["notes"] for note in row]
    assert any("gpm/ft2" in note for note in words) and not any("m/h" in note for note in words)


def test_the_dose_that_would_do_is_said_in_the_units_shown() -> None:
    case = CASE.replace({"regeneration.dose_g_per_l": 12.0, "regeneration.direction": "co-current", "cells": 20})
    cycle = case.cycle()
    bf.set_display_units("us")
    dose = bf.units.convert(cycle.soft_from_dose_g_per_l, "g/L", "lb/ft3")
    assert cycle.search_end.kind in ("never-soft", "cannot-recover")
    assert f"with {dose:.2f} lb of salt per ft3 of resin" in cycle.summary().replace("\n  ", " ")
    assert "per litre" not in cycle.summary()


def test_a_case_says_how_it_is_shown_unless_somebody_chose(both: bf.Comparison, tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text(CASE.to_toml() + '\n[display]\nunits = "us"\n', encoding="utf-8")
    case = bf.Case.from_toml(path)
    assert case.display == bf.Display("us")
    assert bf.Case.from_json(case.to_json()) == case and 'units = "us"' in case.to_toml()
    found = bf.compare(case)
    assert "lb/ft3" in found.summary() and "eq/L" not in found.summary()
    assert bf.display_units() == "both"
    bf.set_display_units("metric")
    assert "lb/ft3" not in found.summary()
    assert [cycle.figures() for cycle in found.cycles] == [cycle.figures() for cycle in both.cycles]
    with pytest.raises(bf.InputError, match="display.units"):
        case.replace({"display.units": "imperial"})


def every_text(drawn: Any) -> list[str]:
    import numpy as np

    first = np.asarray(drawn, dtype=object).ravel()[0]
    figure = getattr(first, "figure", first) or first
    return [each.get_text() for each in figure.findobj(mpl.text.Text) if each.get_text()]


@pytest.mark.parametrize("units", ["metric", "us", "both"])
def test_every_chart_is_in_one_system(both: bf.Comparison, units: str) -> None:
    bf.set_display_units(units)
    counter, along = both.cycles
    drawn = {
        "leakage": plot.leakage(both.cycles),
        "loading": plot.loading(counter),
        "bed_profiles": plot.bed_profiles(both.cycles),
        "depth_time": plot.depth_time(along)[0],
        "elution": plot.elution(along),
        "drain": plot.drain(both.cycles),
        "efficiency": plot.brine_efficiency(CASE, [96.0, 160.0], ceiling=True),
        "account": plot.salt_account(CASE.salt_account()),
        "waves": plot.waves(bf.waves(CASE)),
        "movie": plot.movie(along, moments=20).draw(3),
    }
    for name, picture in drawn.items():
        words = " ; ".join(every_text(picture))
        metric = re.search(r"\[(?:m\]|eq/L|g per|eq per)|(?<!m)g/L|eq/L|litre|m³", words)
        american = re.search(r"\[(?:in|N)\]|lb|kgr|gal|ft³", words)
        assert not (metric if units == "us" else american), (name, words)
    mpl.pyplot.close("all")


def test_charts_hold_the_same_curves(both: bf.Comparison) -> None:
    metric = plot.loading(both.cycles[0]).lines[0].get_xydata()
    bf.set_display_units("us")
    american = plot.loading(both.cycles[0]).lines[0].get_xydata()
    factors = [bf.units.convert(1.0, "eq/L bed", "kgr/ft3"), bf.units.convert(1.0, "m", "in")]
    assert american == pytest.approx(metric * factors, rel=1e-12)
    mpl.pyplot.close("all")


def test_the_report_shows_what_is_chosen(both: bf.Comparison) -> None:
    from brinefront import report

    bf.set_display_units("us")
    page = report.render(both)
    body = page[page.index("<main>") : page.index('id="again"')]
    shown = re.sub(
        r"<[^>]+>",
        " ",
        re.sub(r"<code>.*?</code>|<img[^>]*>|<td class=\"source\">.*?</td>", " ", body, flags=re.DOTALL),
    )
    assert not re.search(r"(?<![\w./])(g/L|eq/L|kPa|m/h|kg|g of NaCl)(?![\w/])", shown)
    assert "--units us" in page
    # What is taken where nothing is said is converted too: 15 m/h.
    assert f" {bf.units.convert(15.0, 'm/h', 'gpm/ft2'):.4g} gpm/ft² " in re.sub(r"\s+", " ", shown)
    bf.set_display_units("metric")
    page = report.render(both)
    assert not re.search(
        r"(?<![\w./])(kgr/ft|gr/lb|gr/US gal|US gal|lb/ft3)", page[page.index("<main>") : page.index('id="inputs"')]
    )


def test_the_command_shows_what_is_chosen_and_machines_do_not_see_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "case.toml"
    path.write_text(CASE.to_toml(), encoding="utf-8")
    asked = ["--set", "regeneration.dose_g_per_l=80,120", "--units", "us"]
    assert cli.main(["sweep", str(path), *asked]) == 0
    table = capsys.readouterr().out
    heads, rows = table.split("----", 1)
    assert "regeneration:" in heads and "[lb/ft3 of resin]" in heads and "[kgr/ft3]" in heads and "[g/L" not in heads
    assert "4.9942" in rows and "7.4914" in rows and not re.search(r"^\s+a\s", table)
    for units in ("us", "both"):
        assert cli.main(["sweep", str(path), "--set", "regeneration.dose=6 lb/ft3,8 lb/ft3", "--units", units]) == 0
        rows = capsys.readouterr().out.partition("----")[2]
        assert "6 lb/ft3" in rows and "8 lb/ft3" in rows
    assert cli.main(["sweep", str(path), *asked[:2]]) == 0
    heads = capsys.readouterr().out.partition("----")[0]
    assert "regeneration." in heads and "dose_g_per_l" in heads
    plain = json.dumps(bf.compare(CASE, at_accepted=True).to_dict())
    for units in ("metric", "us"):
        assert cli.main(["compare", str(path), "--units", units, "--json", "--out", str(tmp_path / units)]) == 0
        assert json.dumps(json.loads(capsys.readouterr().out)) == plain
        header = (tmp_path / units / "comparison.csv").read_text(encoding="utf-8")
        assert ("kgr/ft3" in header) == (units == "us") and ("eq/L of bed" in header) == (units == "metric")
    assert bf.display_units() == "both"


def test_the_live_page_shows_what_its_case_says() -> None:
    pytest.importorskip("panel")
    from brinefront.live.view import View

    view = View(CASE.replace({"display": bf.Display("us")}))
    labels = [figure.yaxis.axis_label for figure in view.doses.figures]
    assert labels == ["operating capacity [kgr/ft³]", "salt efficiency [gr/lb]"]
    assert view.doses.now.data["dose"] == [pytest.approx(bf.units.convert(96.0, "g/L", "lb/ft3"))]
    assert "lb/ft³" in view.sliders["dose"].label.object and "g/L" not in view.sliders["dose"].label.object
    assert "kgr/ft³" in view.tiles.object and "eq/L" not in view.tiles.object
