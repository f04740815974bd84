"""Every input stands in the report as people write it, says whether it was given and where a default comes from."""

from __future__ import annotations

import inspect
import json
import re
from pathlib import Path

import brinefront as bf
import pytest
from brinefront import report
from brinefront.native import fields
from brinefront.report import inputs, tables
from brinefront.words import text
from report_page import CASE, SMALL, Page, four_cases, input_rows, page_of


@pytest.fixture(scope="module")
def four() -> bf.Comparison:
    return four_cases()


@pytest.fixture(scope="module")
def page_of_four(four: bf.Comparison) -> Page:
    return page_of(four)


def test_every_default_of_a_case_has_a_source() -> None:
    """What may be left out, by the signatures of the classes, has an entry that says where its default comes from."""
    parts = {
        "water": bf.Water,
        "resin": bf.Resin,
        "bed": bf.Bed,
        "maldistribution": bf.Maldistribution,
        "rates": bf.Rates,
        "service": bf.Service,
        "regeneration": bf.Regeneration,
        "site": bf.Site,
        "display": bf.Display,
        "recipe.0": (bf.Backwash, bf.Brine, bf.SlowRinse, bf.FastRinse),
    }
    names = [
        f"{part}.{name}"
        for part, kinds in parts.items()
        for kind in (kinds if isinstance(kinds, tuple) else (kinds,))
        for name, about in inspect.signature(kind).parameters.items()
        if about.default is not inspect.Parameter.empty
    ]
    names += [name for name in inspect.signature(bf.Case).parameters if name not in parts and name != "recipe"] + [
        "recipe"
    ]
    standings = inputs.sources()["standings"]
    # Two of a bed's three dimensions must be given.
    for name in set(names) - {"bed.depth_m", "bed.diameter_m", "bed.volume_l"}:
        about = inputs.entry(name)
        # A number that must be given may be left out under its own name, where it has its unit beside it.
        if about.get("required"):
            continue
        assert about["words"] and about["source"] and about["standing"] in standings, name
    for law in inputs.sources()["laws"]:
        assert law["what"] and law["source"] and law["standing"] in standings
    recalled = "from memory"
    assert all(
        recalled not in about.get("source", "")
        for about in fields.every().values()
        if about.get("standing") == recalled
    )


def test_every_input_is_listed_as_people_write_it(page_of_four: Page, four: bf.Comparison) -> None:
    rows = input_rows(page_of_four)
    off = {row[1] for row in page_of_four.table("off-table")}
    listed = set(rows)
    for place, cycle in enumerate(four.cycles, start=1):
        for field, value in inputs.said_in(json.loads(cycle.case.to_json())).items():
            if field not in listed:
                assert field in off, field
                continue
            mine = [
                row
                for row in rows[field]
                if (found := re.search(r"\(([\d, ]+)\)", row[2])) is None or str(place) in found[1].split(", ")
            ]
            assert len(mine) == 1, field
            if isinstance(value, float):
                assert float(mine[0][0]) == pytest.approx(value, rel=5e-5), field
                assert len(re.sub(r"e.*|[.-]|^0+", "", mine[0][0]).lstrip("0")) <= 5 or value >= 1e5, field
    assert not listed & off
    assert {"recipe", "resin.sorbed_salt", "rates.film_per_s"} & off == {"resin.sorbed_salt", "rates.film_per_s"}
    assert rows["recipe.2.minutes"] == [["20", "min", "given (3)", ""]]
    assert rows["regeneration.salt"][0][0] == "NaCl" and rows["regeneration.salt"][1][2] == "given (2)"


def test_a_default_says_where_it_comes_from() -> None:
    page = page_of(bf.compare(CASE))
    rows = input_rows(page)
    (value, unit, origin, source), *_ = rows["resin.void_fraction"]
    assert (value, unit, origin) == ("0.38", "of the settled bed", "default") and "Perry" in source
    assert rows["resin.wet_bead_kg_per_m3"][0][3].endswith("[from memory]")
    assert rows["regeneration.fast_rinse_bv"][0][3].endswith("[common practice, no source]")
    assert "O. D. Bonner, L. L. Smith (1957)" in rows["resin.selectivity"][0][3]
    assert rows["water.ions.Ca"][0][:3] == ["80", "mg/L", "built-in scenario"]
    assert rows["regeneration.direction"][1][2] == "mirror (2)"
    assert rows["cells"][0][2] == "given"
    assert rows["bed.volume_l"][0][:3] == ["113.1", "L", "computed"]
    assert "invented for the demo" in page.words()


def test_values_that_stand_for_silence_are_the_ones_taken() -> None:
    """Saying what the report says is taken where nothing is said changes nothing."""
    silent = CASE.mirrored().replace({"regeneration.strength_percent": None, "regeneration.backwash_mixing": None})
    said = {
        name: float(inputs.entry(name)["unset"])
        for name in ("regeneration.strength_percent", "regeneration.backwash_flow_m_per_h")
    }
    spoken = silent.replace(said | {"regeneration.backwash_min": 10.0, "regeneration.backwash_mixing": 1.0})
    assert inputs.entry("regeneration.backwash_min")["unset"].startswith("10 co-current")
    assert silent.cycle().to_dict() == spoken.cycle().to_dict()


def test_what_a_file_says_is_given_though_it_equals_the_default(tmp_path: Path) -> None:
    path = tmp_path / "small.toml"
    path.write_text(SMALL, encoding="utf-8")
    found = bf.compare(bf.Case.from_toml(path))
    rows = input_rows(page_of(found, case_files=[report.CaseFile(str(path), SMALL)]))
    assert rows["resin.bead_diameter_mm"][0][2:] == [
        "given",
        f"Equals the default. {inputs.entry('resin.bead_diameter_mm')['source']}",
    ]
    assert rows["resin.void_fraction"][0][2] == "default"
    assert rows["regeneration.flow_bv_per_h"][0][2] == "default"
    assert rows["regeneration.direction"][1][2] == "mirror (2)"
    # Without the file nobody knows, and the page says so.
    without = page_of(found)
    assert input_rows(without)["resin.bead_diameter_mm"][0][2] == "default"
    assert "also where it was said" in without.words()


def test_a_technician_of_the_trade_finds_no_metric_figure_alone() -> None:
    case = CASE.replace(
        {
            "service.volume": "2000 gal",
            "service.flow": "10 gpm",
            "regeneration.dose": "8 lb/ft3",
            "bed.held_down": False,
            "display": bf.Display("us"),
            "water.temperature": "59 F",
        }
    )
    both = bf.compare(case)
    page = page_of(both)
    rows = input_rows(page)
    cubic_feet = bf.units.convert(case.bed.volume_l, "L", "ft3")
    assert rows["service.volume_bv"][0][0].endswith("(2000 gal)") and rows["service.volume_bv"][0][1] == "BV"
    assert rows["service.flow_bv_per_h"][0][0].endswith("(10 gpm)")
    assert rows["regeneration.dose_g_per_l"][0][0] == f"8 ({8.0 * cubic_feet:.4g} lb)"
    assert rows["bed.volume_l"][0][:2] == [f"{cubic_feet:.4g}", "ft3"]
    units = {entry[1] for entries in rows.values() for entry in entries}
    assert not units & {"m", "mm", "L", "kg", "m/h", "BV/h", "C", "g/L of resin", "eq/L of bed", "kg/m3", "m2/s"}, units
    # Sources say numbers in their own units, and the case files are for machines.
    said = [note for cycle in both.cycles for note in text.notes([cycle], every=True)]
    said += [str(each) for part in page.all("p") for each in part.itertext() if "beads of" in each or "upward" in each]
    assert not [each for each in said if re.search(r"\d (m/h|m|kg/m[3³]|g/L|kPa|C)\b", each)]


def test_strategies_with_doses_of_their_own_are_not_called_equal() -> None:
    other = CASE.mirrored().replace({"regeneration.dose_g_per_l": 120.0})
    assert text.held_equal(bf.compare(CASE)) == "at equal salt dose"
    found = bf.compare([CASE, other])
    assert text.held_equal(found) == "each at its own salt dose"
    (words,) = [each.get_text() for each in found.sheet().texts if "strategies compared" in each.get_text()]
    assert words == "regeneration strategies compared each at its own salt dose"


def test_doses_found_at_equal_leakage_say_so() -> None:
    found = bf.compare(CASE, "equal-leakage")
    page = page_of(found)
    rows = input_rows(page)
    doses = {row[2]: float(row[0]) for row in rows["regeneration.dose_g_per_l"]}
    assert set(doses) == {"found (1)", "found (2)"}
    assert list(doses.values()) == pytest.approx([cycle.dose_g_per_l for cycle in found.cycles], rel=1e-4)
    assert rows["service.volume_bv"][0][2] == "found"
    assert "at equal leakage" in page.words()


def test_waters_balance(page_of_four: Page, four: bf.Comparison) -> None:
    for key, cycle in (("water-1", four.cycles[0]), ("water-2", four.cycles[3])):
        rows = {row[0]: row[1:] for row in page_of_four.table(key)}
        eq = cycle.case.water.eq_per_l
        assert set(rows) == {*eq, "sum of cations", "sum of anions"}
        for ion, value in eq.items():
            assert float(rows[ion][0]) == cycle.case.water.ions[ion]
            assert float(rows[ion][2]) == pytest.approx(1000.0 * value, abs=5e-5)
        assert rows["sum of cations"][2] == rows["sum of anions"][2]
    # By hand: 80/20.039 + 24/12.1525 + 28/22.990 = 7.1851 meq/L; 48/35.453 + 280/61.016 + 55/48.028 = 7.0881.
    first = {row[0]: row[1:] for row in page_of_four.table("water-1")}
    assert float(first["sum of cations"][1]) == pytest.approx(7.1851, abs=2e-4)
    assert float(first["sum of anions"][1]) == pytest.approx(7.0881, abs=2e-4)
    assert "differ by 0.68 % of their sum; Cl closes the balance" in page_of_four.words()


def test_an_ion_by_itself_is_converted_as_in_a_water() -> None:
    assert tables.equivalents("Na", 22.99, "mg/L") == (pytest.approx(1e-3), True)
    assert tables.equivalents("SO4", 96.056, "mg/L") == (pytest.approx(2e-3, rel=1e-4), False)
    assert tables.equivalents("Mg", 0.0, "meq/L") == (0.0, True)
