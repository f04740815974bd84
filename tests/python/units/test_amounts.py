"""Numbers with units as text: in case files, changes, sweeps and constructors, and one meaning for each spelling."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import brinefront as bf
import pint
import pytest
from brinefront.units.fields import DIMENSIONLESS, of_name
from every_argument import ARGUMENTS, G_A_POUND, L_A_CUBIC_FOOT, L_A_GALLON, Q

CASE = bf.default_case()
LITRES = CASE.bed.volume_l

# A change without unit in its name, the field it stands for, and the number that the field then has.
CHANGES = {
    "regeneration.dose": ("8 lb/ft3", "regeneration.dose_g_per_l", 8 * G_A_POUND / L_A_CUBIC_FOOT),
    "service.flow": ("10 gpm", "service.flow_bv_per_h", 600 * L_A_GALLON / LITRES),
    "service.volume": ("2000 gal", "service.volume_bv", 2000 * L_A_GALLON / LITRES),
    "service.limit": ("0.5 gr/gal as CaCO3", "service.limit_mg_per_l_caco3", 0.5 * 17.118061),
    "bed.depth": ("3 ft", "bed.depth_m", 0.9144),
    "water.temperature": ("59 F", "water.temperature_c", 15.0),
    "water.ions.Ca": ("10 gr/gal as CaCO3", "water.ions.Ca", 171.18061 * 40.078 / 100.086),
    "bed.diameter": ("50 cm", "bed.diameter_m", 0.5),
    "resin.bead_diameter": ("0.02 in", "resin.bead_diameter_mm", 0.508),
    "resin.age": ("2 years", "resin.age_years", 2.0),
    "regeneration.backwash_flow": ("5 gpm/ft2", "regeneration.backwash_flow_m_per_h", 12.22375),
    "regeneration.slow_rinse": ("1 BV", "regeneration.slow_rinse_bv", 1.0),
}


def value(case: bf.Case, field: str) -> float:
    found = json.loads(case.to_json())
    for part in field.split("."):
        found = found[part]
    return float(found)


@pytest.mark.parametrize(
    ("name", "one", "other"),
    [
        ("service.flow", "10 gal/min", "10 gpm"),
        ("service.limit", "8 ppm as CaCO3", "8 mg/L as CaCO3"),
        ("water.ions.Ca", "180 ppm as CaCO3", "180 mg/L as CaCO3"),
        ("regeneration.backwash_flow", "5 gal/min/ft2", "5 gpm/ft2"),
    ],
)
def test_a_unit_has_the_names_that_people_use(name: str, one: str, other: str) -> None:
    assert CASE.replace({name: one}) == CASE.replace({name: other})


def test_a_name_may_be_taken_away_as_the_other_is_given() -> None:
    given = CASE.replace({"service.volume": "2000 gal"})
    for changes in (
        {"service.volume": "2000 gal", "service.volume_bv": None},
        {"service.volume_bv": None, "service.volume": "2000 gal"},
    ):
        assert CASE.replace(changes) == given
    assert given.replace({"service.volume": None, "service.volume_bv": 100.0}).service.volume_bv == 100.0


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_takes_a_text_with_a_unit(name: str) -> None:
    text, field, expected = CHANGES[name]
    assert value(CASE.replace({name: text}), field) == pytest.approx(expected, rel=1e-6)


def test_every_field_with_a_unit_takes_it_as_text() -> None:
    """What a name ends in means the same to the crate and to the package."""
    parts = {
        "Water": "water", "Resin": "resin", "Bed": "bed", "Rates": "rates", "Service": "service",
        "Regeneration": "regeneration", "Site": "site",
    }  # fmt: skip
    instead_of = {"volume_l": "diameter_m", "normality_eq_per_l": "strength_percent"}
    seen = 0
    for name, part in parts.items():
        for argument, (number, others) in ARGUMENTS[name].items():
            unit = of_name(argument)
            if isinstance(number, (dict, list)) or unit is None or unit.quantity == DIMENSIONLESS:
                continue
            names = {f"{part}.{key}": item for key, item in others.items()}
            if argument in instead_of:
                names[f"{part}.{instead_of[argument]}"] = None
            stem = argument.removesuffix(f"_{unit.suffix}")
            expected = CASE.replace(names | {f"{part}.{argument}": number})
            assert CASE.replace(names | {f"{part}.{stem}": f"{number!r} {unit.quantity}"}) == expected, argument
            made = getattr(bf, name)
            assert made(**others, **{stem: f"{number!r} {unit.quantity}"}) == made(**others, **{argument: number})
            seen += 1
    assert seen > 30


def test_a_mass_of_salt_is_a_dose_by_the_bed() -> None:
    dose = CASE.replace({"regeneration.dose": "20 lb"}).regeneration.dose_g_per_l
    assert dose == pytest.approx(20 * G_A_POUND / LITRES, rel=1e-12)
    with pytest.raises(bf.InputError, match="only of a bed"):
        bf.Regeneration("co-current", dose="20 lb")


def test_constructors_take_texts_without_the_unit_in_the_name() -> None:
    pounds = bf.Regeneration("counter-current", dose="8 lb/ft3", strength="10 %", backwash="0.1 h")
    assert pounds.dose_g_per_l == pytest.approx(8 * G_A_POUND / L_A_CUBIC_FOOT, rel=1e-12)
    assert (pounds.strength_percent, pounds.backwash_min) == (10.0, pytest.approx(6.0))
    assert bf.Regeneration("co-current", dose=Q(6.0, "lb/ft3")) == bf.Regeneration("co-current", Q(6.0, "lb/ft3"))
    assert bf.Bed(depth="3 ft", diameter="12 in") == bf.Bed(3 * 0.3048, 0.3048)
    assert bf.Service(flow="5 gpm/ft3", volume="900 gal/ft3").flow_bv_per_h == pytest.approx(40.104, rel=1e-4)
    assert bf.Standby(duration="0.5 h") == bf.Standby(30.0)
    water = bf.Water({"Ca": "12 gr/gal as CaCO3", "Mg": "24 mg/L as ion", "Na": "28 mg/L"}, temperature="59 F")
    assert water.ions == pytest.approx({"Ca": 205.4167 * 40.078 / 100.086, "Mg": 24.0, "Na": 28.0}, rel=1e-6)
    assert water.temperature_c == pytest.approx(15.0)


def test_what_constructors_refuse() -> None:
    with pytest.raises(bf.InputError, match="given twice"):
        bf.Regeneration("co-current", 96.0, dose="6 lb/ft3")
    with pytest.raises(bf.InputError, match="a text with its unit, or dose_g_per_l"):
        bf.Regeneration("co-current", dose=6.0)  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="missing 1 required argument: 'dose_g_per_l'"):
        bf.Regeneration("co-current")
    with pytest.raises(TypeError, match="unexpected keyword argument 'dosage'"):
        bf.Regeneration("co-current", 96.0, dosage="6 lb/ft3")
    with pytest.raises(bf.InputError, match="must be a number with one of the units m, mm, cm, ft, in") as caught:
        bf.Bed(depth="3 furlong", diameter_m=0.4)
    assert caught.value.field == "bed.depth"


def test_a_case_file_in_the_units_of_the_trade(tmp_path: Path) -> None:
    text = CASE.to_toml()
    for old, new in {
        "dose_g_per_l = 96.0": 'dose = "6 lb/ft3"',
        "depth_m = 0.9": 'depth = "3 ft"',
        "flow_bv_per_h = 20.0": 'flow = "10 gpm"',
        "limit_mg_per_l_caco3 = 17.0": 'limit = "1 gpg"',
        "Ca = 80.0": 'Ca = "80 mg/L as ion"',
    }.items():
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "trade.toml"
    path.write_text(text, encoding="utf-8")
    case = bf.Case.from_toml(path)
    assert case == bf.Case.from_toml(text)
    assert case.regeneration.dose_g_per_l == pytest.approx(96.110768, rel=1e-6)
    assert case.service.flow_bv_per_h == pytest.approx(600 * L_A_GALLON / case.bed.volume_l, rel=1e-12)
    assert case.water.ions["Ca"] == 80.0
    assert bf.Case.from_toml(case.to_toml()) == case
    with pytest.raises(bf.InputError, match="given twice"):
        bf.Case.from_toml(text.replace('dose = "6 lb/ft3"', 'dose = "6 lb/ft3"\ndose_g_per_l = 96.0'))


def test_a_report_says_that_such_a_number_was_given(tmp_path: Path) -> None:
    text = CASE.replace({"cells": 10}).to_toml().replace("dose_g_per_l = 96.0", 'dose = "6 lb/ft3"')
    said = bf._core.said_in_toml(text, "text")
    assert said["regeneration"]["dose_g_per_l"] == pytest.approx(96.110768, rel=1e-6)
    assert "dose" not in said["regeneration"]


def test_a_sweep_takes_texts() -> None:
    coarse = CASE.replace({"cells": 10, "tolerance": 0.01})
    with bf.sweep_stream(coarse, {"regeneration.dose": ["6 lb/ft3", "10 lb"]}) as points:
        doses = [point.figures.dose_g_per_l for point in points if point.figures is not None]
    assert doses == pytest.approx([6 * G_A_POUND / L_A_CUBIC_FOOT, 10 * G_A_POUND / LITRES], rel=1e-9)
    done = subprocess.run(
        [sys.executable, "-m", "brinefront", "sweep", "--json", "--set", "regeneration.dose=6 lb/ft3,8 lb/ft3",
         "--set", "cells=10"],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    points = json.loads(done.stdout)["cases"]
    assert [point["regeneration.dose"] for point in points] == ["6 lb/ft3", "8 lb/ft3"]
    assert points[1]["dose_g_per_l"] == pytest.approx(128.14769, rel=1e-6)


def test_a_mass_of_an_ion_of_hardness_says_what_it_is_the_mass_of() -> None:
    for unit in ("mg/L", "gr/gal", "ppm"):
        for given in (Q(17.5, unit), f"17.5 {unit}"):
            with pytest.raises(bf.InputError, match="as CaCO3 or as the ion") as caught:
                bf.Water({"Ca": given, "Na": 28.0})
            assert caught.value.field == "water.ions.Ca"
            assert "CaCO3" in caught.value.limits and "ion" in caught.value.limits
            with pytest.raises(bf.InputError, match="as CaCO3 or as the ion"):
                CASE.replace({"water.ions.Mg": given})
    # Grains are grains as CaCO3 elsewhere, whatever the ion.
    for given in (Q(1.0, "gr/gal"), "1 gr/gal"):
        with pytest.raises(bf.InputError, match="as CaCO3 or as the ion"):
            bf.Water({"Na": given})
    for given in (Q(80.0, "mg_ion/L"), Q(80.0, "mg/L as ion"), "80 mg/L as ion", "80 mg/L as Ca", "80 mg_ion/L"):
        assert bf.Water({"Ca": given}).ions["Ca"] == pytest.approx(80.0, rel=1e-12)
    for given in (Q(10.0, "gpg"), Q(10.0, "gr_CaCO3/gal"), "10 gr/gal as CaCO3", "10 gpg", "10 gr_CaCO3/gal"):
        assert bf.Water({"Ca": given}, unit="mg/L CaCO3").ions["Ca"] == pytest.approx(171.18061, rel=1e-6)
    for given in (Q(28.0, "mg/L"), "28 mg/L"):
        assert bf.Water({"Na": given}).ions["Na"] == pytest.approx(28.0, rel=1e-12)


# Units of both, as either spells them.
BOTH = [
    *bf.units.names(), "ft**3", "ft^3", "lb/ft**3", "gpm/ft**2", "gal/ft**3", "m**3/h", "inch", "gallon", "pound", "gpg",
    "gr_CaCO3/gal", "gr/gal as CaCO3", "mg_CaCO3/L", "mg/L as CaCO3", "kgr_CaCO3/ft**3", "kgr/ft3 as CaCO3",
    "gr_CaCO3/lb", "french_degree", "german_degree", "bed_volume", "hour", "minute", "liter", "meter", "g_CaCO3/L",
]  # fmt: skip
# Grains as CaCO3 for one, a mass for the other.
BARE_GRAINS = {"gr/gal", "kgr/ft3", "gr/ft3", "gr/lb"}


@pytest.mark.parametrize("name", BOTH)
def test_a_unit_has_one_meaning_whoever_reads_it(name: str) -> None:
    assert bf.units.convert(7.0, name, name) == 7.0
    if name in BARE_GRAINS:
        with pytest.raises(bf.InputError):
            bf.units.convert(Q(7.0, name), name, name)
        name = f"{name} as CaCO3"
    assert bf.units.convert(Q(7.0, name), name, name) == pytest.approx(7.0, rel=1e-12)
    for other in bf.units.names():
        try:
            ours = bf.units.convert(1.0, name, other)
        except bf.InputError:
            continue
        grains = f"{other} as CaCO3" if other in BARE_GRAINS else other
        try:
            theirs = Q(1.0, name).m_as(Q(1.0, grains).units)
        except pint.DimensionalityError:
            # Equivalents a kilogram of salt are as many as are in a litre of something else.
            continue
        assert theirs == pytest.approx(ours, rel=1e-9), (name, other)
