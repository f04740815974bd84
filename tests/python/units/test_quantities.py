"""Quantities with units: every argument of every public constructor, and what is refused.

Factors stand on the definitions of grain, pound, US gallon and foot (NIST Handbook 44, appendix C; grain and pound read
second-hand, the rest from memory) and on the atomic masses C 12.011, O 15.999, Ca 40.078, Mg 24.305, Na 22.990.
"""

from __future__ import annotations

import ast
import inspect
import json
import math
import subprocess
import sys
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import brinefront as bf
import numpy as np
import pint
import pytest
from every_argument import (
    ARGUMENTS,
    CASE,
    CASE_PARTS,
    DRIVEN,
    EQUILIBRIUM,
    G_A_POUND,
    G_CACO3_AN_EQ,
    L_A_CUBIC_FOOT,
    L_A_GALLON,
    RADIAL_SIZES,
    STUB,
    Q,
    as_quantity,
    constructors,
    numeric,
)


def wrong(value: Any) -> Any:
    """The same with a dimension that no argument has."""
    bad = Q(1.0, "ampere")
    if isinstance(value, dict):
        return value | {"Ca": bad}
    return [(bad, 1.0)] if isinstance(value, list) else bad


def leaves(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield from leaves(item, f"{path}.{key}")
    elif isinstance(value, (list, tuple)):
        for place, item in enumerate(value):
            yield from leaves(item, f"{path}.{place}")
    else:
        yield path, value


def assert_same(found: Any, expected: Any) -> None:
    ours, theirs = dict(leaves(found)), dict(leaves(expected))
    assert ours.keys() == theirs.keys()
    for path, value in theirs.items():
        if isinstance(value, float):
            assert ours[path] == pytest.approx(value, rel=1e-12), path
        else:
            assert ours[path] == value, path


def plain(part: Any) -> Any:
    return json.loads(part.to_json())


def test_every_numeric_argument_is_driven_here() -> None:
    driven = {name: set(arguments) for name, arguments in constructors()}
    assert driven == {name: set(arguments) for name, arguments in ARGUMENTS.items()}
    assert len(DRIVEN) > 60
    for name, arguments in constructors():
        known = set(inspect.signature(getattr(bf, name)).parameters)
        assert set(arguments) <= known
        assert all("Number" in words or "Quantity" in words for words in arguments.values()), name
        [new] = [
            it for each in STUB.body if isinstance(each, ast.ClassDef) and each.name == name for it in each.body
            if isinstance(it, ast.FunctionDef) and it.name == "__new__"
        ]  # fmt: skip
        assert known - {"amounts"} == {each.arg for each in [*new.args.args, *new.args.kwonlyargs]} - {"cls"}


@pytest.mark.parametrize(("name", "argument"), DRIVEN)
def test_a_constructor_takes_a_quantity_in_another_unit(name: str, argument: str) -> None:
    value, others = ARGUMENTS[name][argument]
    made = getattr(bf, name)
    expected = made(**others, **{argument: value})
    assert_same(plain(made(**others, **{argument: as_quantity(argument, value)})), plain(expected))


@pytest.mark.parametrize(("name", "argument"), DRIVEN)
def test_a_constructor_refuses_another_dimension(name: str, argument: str) -> None:
    value, others = ARGUMENTS[name][argument]
    with pytest.raises(bf.InputError) as caught:
        getattr(bf, name)(**others, **{argument: wrong(value)})
    assert argument in caught.value.field
    assert caught.value.value == "1.0 ampere"
    assert "must be a" in caught.value.limits
    if not isinstance(value, (dict, list)):
        with pytest.raises(bf.InputError, match="not an array") as caught:
            getattr(bf, name)(**others, **{argument: np.array([1.0, 2.0]) * as_quantity(argument, value).units})
        assert caught.value.field.endswith(argument)


def test_the_fields_of_a_case_take_quantities_by_their_dotted_names() -> None:
    parts = {
        "Water": "water", "Resin": "resin", "Bed": "bed", "Rates": "rates", "Service": "service",
        "Regeneration": "regeneration", "Site": "site", "Maldistribution": "maldistribution",
    }  # fmt: skip
    instead_of = {
        "volume_l": "diameter_m", "normality_eq_per_l": "strength_percent",
        "fast_flow_share": "spread", "fast_area_share": "spread",
    }  # fmt: skip
    whole = CASE.replace({"maldistribution": bf.Maldistribution(0.1)})
    seen = 0
    for name, part in parts.items():
        for argument, (value, others) in ARGUMENTS[name].items():
            if isinstance(value, (dict, list)):
                continue
            names = {f"{part}.{key}": item for key, item in others.items()}
            if argument in instead_of:
                names[f"{part}.{instead_of[argument]}"] = None
            field = f"{part}.{argument}"
            expected = whole.replace(names | {field: value})
            assert_same(plain(whole.replace(names | {field: as_quantity(argument, value)})), plain(expected))
            seen += 1
    assert seen > 40
    split = CASE.replace({"recipe": bf.Recipe([bf.Brine(), bf.Standby(20.0), bf.FastRinse(volume_bv=2.0)])})
    for field, given, number in (
        ("recipe.0.flow_bv_per_h", Q(0.5, "gpm/ft**3"), 30 * L_A_GALLON / L_A_CUBIC_FOOT),
        ("recipe.1.minutes", Q(0.5, "hour"), 30.0),
        ("recipe.2.volume_bv", Q(3.0, "BV"), 3.0),
    ):
        assert_same(plain(split.replace({field: given})), plain(split.replace({field: number})))
    with pytest.raises(bf.InputError) as caught:
        split.replace({"recipe.1.minutes": Q(0.5, "m")})
    assert (caught.value.field, caught.value.value) == ("recipe.1.minutes", "0.5 meter")
    assert "min" in caught.value.limits


def test_nested_values_of_a_change_take_quantities() -> None:
    sizes = [{"diameter_mm": Q(0.04, "cm"), "share": 0.3}, {"diameter_mm": 0.6, "share": Q(70.0, "percent")}]
    given = CASE.replace({"kinetics": "radial", "resin.bead_sizes": sizes})
    assert_same(given.resin.bead_sizes, RADIAL_SIZES)
    impure = CASE.replace(
        {"regeneration.salt_purity_percent": Q(0.98), "regeneration.salt_impurities_percent": {"Ca": Q(0.003)}}
    )
    assert impure.regeneration.salt_impurities_percent["Ca"] == pytest.approx(0.3, rel=1e-12)
    assert bf.Resin(bead_diffusivity_m2_per_s={"Ca": Q(2e-7, "cm**2/s")}).bead_diffusivity_m2_per_s == pytest.approx(
        {"Ca": 2e-11}
    )


@pytest.mark.parametrize("argument", EQUILIBRIUM)
def test_equilibrium_takes_quantities(argument: str) -> None:
    [stub] = [each for each in STUB.body if isinstance(each, ast.FunctionDef) and each.name == "equilibrium"]
    assert numeric(stub).keys() == EQUILIBRIUM.keys()
    value, others = EQUILIBRIUM[argument]
    expected = bf.equilibrium(**others, **{argument: value})
    assert_same(bf.equilibrium(**others, **{argument: as_quantity(argument, value)}), expected)
    with pytest.raises(bf.InputError) as caught:
        bf.equilibrium(**others, **{argument: wrong(value)})
    assert argument in caught.value.field


def test_a_hardness_in_any_unit_of_the_trade() -> None:
    """1 gpg is 17.118, a French degree 10 and a German degree 17.848 mg/L as CaCO3; 1 meq/L is 50.043."""

    def limit(amount: float, unit: str) -> float | None:
        return bf.Service(20.0, limit_mg_per_l_caco3=Q(amount, unit)).limit_mg_per_l_caco3

    assert limit(1.0, "gpg") == pytest.approx(17.11806, rel=2e-5)
    assert limit(1.0, "gr_CaCO3/gal") == pytest.approx(17.11806, rel=2e-5)
    assert limit(1.0, "french_degree") == pytest.approx(10.0, rel=1e-12)
    assert limit(1.0, "german_degree") == pytest.approx(17.848, rel=2e-5)
    assert limit(1.0, "meq/L") == pytest.approx(50.043, rel=2e-5)
    assert limit(17.0, "mg_CaCO3/L") == pytest.approx(17.0, rel=1e-12)


def test_a_capacity_in_kilograins_and_a_dose_in_pounds() -> None:
    """1 kgr/ft3 is 0.045728 eq/L; 6 lb/ft3 are 96.1 g/L; 5 gpm/ft3 are 40.1 BV/h."""
    assert bf.Resin(Q(30.0, "kgr_CaCO3/ft**3")).capacity_eq_per_l == pytest.approx(30 * 0.045728, rel=2e-5)
    assert bf.Regeneration("co-current", Q(6.0, "lb/ft**3")).dose_g_per_l == pytest.approx(96.1, abs=0.05)
    assert bf.Service(Q(5.0, "gpm/ft**3"), volume_bv=Q(900.0, "gal/ft**3")).flow_bv_per_h == pytest.approx(
        5 * 8.02083, rel=2e-5
    )
    assert bf.Service(Q(20.0, "BV/h"), volume_bv=Q(100.0, "BV")) == bf.Service(20.0, volume_bv=100.0)


def test_a_water_takes_each_ion_in_its_own_unit() -> None:
    """80 mg/L of calcium are 80/40.078 mmol/L, twice as many meq/L, and 2.4973 times as many mg/L as CaCO3."""
    mmol = 80.0 / 40.078
    for amount in (
        Q(80.0, "mg_ion/L"),
        Q(mmol, "mmol/L"),
        Q(2 * mmol, "meq/L"),
        Q(2 * mmol * G_CACO3_AN_EQ, "mg_CaCO3/L"),
    ):
        for unit, number in {"mg/L": 80.0, "mmol/L": mmol, "meq/L": 2 * mmol, "mg/L CaCO3": 80 * 2.4973}.items():
            found = bf.Water({"Ca": amount, "Mg": 1.0}, unit=unit)
            assert found.ions["Ca"] == pytest.approx(number, rel=2e-5 if unit == "mg/L CaCO3" else 1e-12)
            assert found.ions["Mg"] == 1.0
    water = bf.Water(
        {"Ca": Q(15.0, "gpg"), "Na": Q(28e-3, "g/L"), "HCO3": Q(4.0, "mmol/L"), "Cl": 3.0}, unit="meq/L", balance="Cl"
    )
    assert water.ions["Ca"] == pytest.approx(15 * 0.34207, rel=2e-5)
    assert water.ions["Na"] == pytest.approx(28 / 22.990, rel=1e-12)
    assert water.ions["HCO3"] == pytest.approx(4.0, rel=1e-12)
    assert bf.Water({"Ca": Q(80.0, "mg_ion/L")}) == bf.Water({"Ca": 80.0})
    with pytest.raises(bf.InputError, match="concentration of the ion") as caught:
        bf.Water({"Na": Q(80.0, "ppm")})
    assert caught.value.field == "water.ions.Na"
    with pytest.raises(bf.InputError, match="water.ions.Ca = -80") as caught:
        bf.Water({"Ca": Q(-80.0, "mg_ion/L")})
    # In a case the unit of the analysis is known.
    changed = CASE.replace({"water.ions.Ca": Q(mmol, "mmol/L"), "water.balance": "Cl"})
    assert changed.water.ions["Ca"] == pytest.approx(80.0, rel=1e-12)
    with pytest.raises(bf.InputError, match="unit of the analysis changes"):
        CASE.replace({"water.unit": "meq/L", "water.ions.Ca": Q(mmol, "mmol/L")})


def test_temperatures() -> None:
    def temperature(given: Any) -> float:
        return bf.Water({"Ca": 80.0}, temperature_c=given).temperature_c

    assert temperature(Q(59.0, "degF")) == pytest.approx(15.0, rel=1e-12)
    assert temperature(Q(288.15, "K")) == pytest.approx(15.0, rel=1e-12)
    assert temperature(Q(518.67, "degR")) == pytest.approx(15.0, rel=1e-12)
    assert temperature(Q(15.0, "degC")) == 15.0
    for difference in (Q(15.0, "delta_degC"), Q(59.0, "delta_degF")):
        with pytest.raises(bf.InputError, match="difference of temperatures"):
            temperature(difference)
    with pytest.raises(bf.InputError, match="temperature_c"):
        temperature(Q(15.0, "K"))


# What somebody might give, where, and the words that help.
REFUSED = {
    "moles for equivalents": (
        lambda: bf.Resin(Q(1.0, "mol/L")), "resin.capacity_eq_per_l", "moles times charge: write eq/L"
    ),
    "moles for hardness": (
        lambda: bf.Service(20.0, limit_mg_per_l_caco3=Q(1.0, "mmol/L")), "service.limit_mg_per_l_caco3", "times charge"
    ),
    "mass for hardness": (
        lambda: bf.Service(20.0, limit_mg_per_l_caco3=Q(17.0, "mg/L")),
        "service.limit_mg_per_l_caco3",
        "as CaCO3 or as the ion?",
    ),
    "ppm for hardness": (
        lambda: bf.Service(20.0, limit_mg_per_l_caco3=Q(17.0, "ppm")), "service.limit_mg_per_l_caco3", "as CaCO3 or as"
    ),
    "grains of anything for a capacity": (
        lambda: bf.Resin(Q(30.0, "kgr/ft**3")), "resin.capacity_eq_per_l", "kgr_CaCO3/ft"
    ),
    "litres for bed volumes": (
        lambda: bf.Service(20.0, volume_bv=Q(15.0, "m**3")), "service.volume_bv", "divide by the bed's volume"
    ),
    "gallons a minute for BV/h": (
        lambda: bf.Service(Q(10.0, "gpm"), volume_bv=9.0), "service.flow_bv_per_h", "divide by the bed's volume"
    ),
    "a velocity for BV/h": (lambda: bf.Service(Q(10.0, "m/h"), volume_bv=9.0), "service.flow_bv_per_h", "bed's depth"),
    "a flow for a rate": (lambda: bf.Rates(film_per_s=Q(10.0, "BV/h")), "rates.film_per_s", "1/s"),
    "half a cell": (lambda: bf.Case(**CASE_PARTS, cells=Q(20.5)), "cells", "whole number"),
    "a negative depth": (lambda: bf.Bed(Q(-3.0, "ft"), 0.4), "bed.depth_m", "must be a number from"),
    "no number": (lambda: bf.Bed(Q(math.nan, "ft"), 0.4), "bed.depth_m", "must be a number from"),
    "an uncertain depth": (lambda: bf.Bed(Q(1 + 2j, "ft"), 0.4), "bed.depth_m", "a magnitude that is a number"),
    "a field without units": (
        lambda: CASE.replace({"regeneration.salt": Q(1.0, "g")}), "regeneration.salt", "takes no quantity"
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", REFUSED)
def test_what_is_refused_says_what_to_write(what: str) -> None:
    attempt, field, words = REFUSED[what]
    with pytest.raises(bf.InputError) as caught:
        attempt()
    assert caught.value.field == field
    assert words in caught.value.limits, caught.value.limits


def test_texts_are_no_quantities() -> None:
    with pytest.raises(TypeError, match="depth_m"):
        bf.Bed("3 ft", 0.4)  # type: ignore[arg-type]
    with pytest.raises(bf.InputError, match="bed.depth_m"):
        CASE.replace({"bed.depth_m": "3 ft"})

    class Metres:
        magnitude, units = 3.0, "m"

    with pytest.raises(bf.InputError, match="a quantity of pint"):
        bf.Bed(Metres(), 0.4)


def test_a_case_divides_by_its_bed() -> None:
    litres = CASE.bed.volume_l
    assert CASE.replace({"service.volume_bv": Q(15.0, "m**3")}).service.volume_bv == pytest.approx(
        15_000.0 / litres, rel=1e-12
    )
    flow = CASE.replace({"service.flow_bv_per_h": Q(10.0, "gpm")}).service.flow_bv_per_h
    assert flow == pytest.approx(600.0 * L_A_GALLON / litres, rel=1e-12)
    with pytest.raises(bf.InputError, match="divide by the bed"):
        CASE.replace({"service.volume_bv": Q(15.0, "m**3"), "bed.depth_m": 1.0})
    coarse = CASE.replace({"cells": 10, "tolerance": 0.01})
    loaded = coarse.load({"Na": Q(100.0, "percent")}, Q(50 * litres, "L"))
    assert_same(loaded.to_dict(), coarse.load({"Na": 1.0}, 50.0).to_dict())
    eluted = coarse.elute("feed", Q(2.0, "BV"), Q(1.2, "eq/L"))
    assert_same(eluted.to_dict(), coarse.elute("feed", 2.0, 1.2).to_dict())
    with pytest.raises(bf.InputError, match="times charge"):
        coarse.elute("feed", 2.0, Q(1.2, "mol/L"))


def test_sweeps_label_their_axes_by_numbers() -> None:
    coarse = CASE.replace({"cells": 10, "tolerance": 0.01})
    axes = {
        "regeneration.dose_g_per_l": Q(np.array([5.0, 6.0]), "lb/ft**3"),
        "water.temperature_c": [Q(59.0, "degF"), 20.0],
    }
    grid = bf.sweep(coarse, axes)
    doses = np.array([5.0, 6.0]) * G_A_POUND / L_A_CUBIC_FOOT
    assert grid["regeneration.dose_g_per_l"].values == pytest.approx(doses, rel=1e-12)
    assert grid["water.temperature_c"].values == pytest.approx([15.0, 20.0], rel=1e-12)
    here = coarse.replace({"regeneration.dose_g_per_l": float(grid["regeneration.dose_g_per_l"][1])}).cycle()
    assert float(grid["run_length_bv"][1, 0]) == pytest.approx(here.run_length_bv, rel=1e-9)
    with bf.sweep_stream(coarse, {"service.volume_bv": [Q(10.0, "m**3"), Q(90.0, "BV")]}) as points:
        first, second = [point.changes["service.volume_bv"] for point in points]
    assert (first, second) == (pytest.approx(10_000.0 / CASE.bed.volume_l, rel=1e-12), 90.0)
    with pytest.raises(bf.InputError, match="divide by the bed"):
        bf.sweep(coarse, {"service.volume_bv": [Q(10.0, "m**3")], "bed.depth_m": [0.9, 1.0]})
    with pytest.raises(bf.InputError) as caught:
        bf.sweep_stream(coarse, {"bed.depth_m": [0.9, Q(1.0, "kg")]})
    assert caught.value.field == "bed.depth_m"
    stepwise = bf.sweep_stream(coarse, {"recipe": [[bf.Brine(), {"step": "fast-rinse", "volume_bv": Q(2.0, "BV")}]]})
    with stepwise as points:
        assert next(points).error == ""
    ions = bf.sweep_stream(coarse, {"water.ions.Ca": [Q(2.0, "mmol/L")]})
    with ions as points:
        assert next(points).changes["water.ions.Ca"] == pytest.approx(80.156, rel=1e-12)


def test_theory_and_pictures_take_quantities() -> None:
    pounds = Q(np.array([5.0, 8.0]), "lb/ft**3")
    doses = [amount * G_A_POUND / L_A_CUBIC_FOOT for amount in (5.0, 8.0)]
    assert_same(bf.efficiency_ceiling(CASE, pounds).to_dict("list"), bf.efficiency_ceiling(CASE, doses).to_dict("list"))
    with pytest.raises(bf.InputError, match="doses_g_per_l"):
        bf.efficiency_ceiling(CASE, [Q(3.0, "ft")])
    import matplotlib.pyplot as plt
    from brinefront import plot

    axes = plot.brine_efficiency(CASE.replace({"cells": 10, "tolerance": 0.01}), pounds)
    shown = axes[0].get_lines()[0].get_xdata()
    assert np.asarray(shown) == pytest.approx(doses, rel=1e-12)
    plt.close("all")
    waves = bf.waves(CASE, levels=20)
    step, depth = len(waves.steps()) - 1, [0.3, 0.6]
    expected = waves.resin_fraction(step, [50.0], depth)
    given = waves.resin_fraction(step, [Q(50 * CASE.bed.volume_l, "L")], Q(np.array([30.0, 60.0]), "cm"))
    assert np.array_equal(given, expected) and np.isfinite(expected).all()


def test_convert_takes_a_quantity() -> None:
    convert = bf.units.convert
    assert convert(Q(20.0, "gpg"), "gr/gal", "mg/L CaCO3") == pytest.approx(342.3612, rel=2e-5)
    assert convert(Q(200.0, "mg_CaCO3/L"), "gr/gal", "mg/L CaCO3") == pytest.approx(200.0, rel=1e-12)
    assert convert(Q(2.0, "mmol/L"), "mmol/L divalent", "meq/L") == pytest.approx(4.0, rel=1e-12)
    assert convert(Q(1.0, "foot"), "m", "mm") == pytest.approx(304.8, rel=1e-12)
    assert convert(Q(1.0, "psi"), "kPa", "bar") == pytest.approx(0.06894757, rel=1e-6)
    for unit in bf.units.names():
        assert convert(1.0, unit, unit) == 1.0
    with pytest.raises(bf.InputError) as caught:
        convert(Q(2.0, "mmol/L"), "meq/L", "gr/gal")
    assert (caught.value.field, caught.value.value) == ("value", "2.0 millimole / liter")
    with pytest.raises(bf.InputError, match="furlong"):
        convert(Q(2.0, "m"), "furlong", "m")


# Trade units by their names in the registry, where those differ.
SPELLED = {
    "mg/L CaCO3": "mg_CaCO3/L", "gr/gal": "gpg", "degree French": "french_degree", "degree German": "german_degree",
    "eq/L bed": "eq/L", "g/L CaCO3": "g_CaCO3/L", "kgr/ft3": "kgr_CaCO3/ft**3", "gr/ft3": "gr_CaCO3/ft**3",
    "gr/lb": "gr_CaCO3/lb", "in": "inch",
}  # fmt: skip


@pytest.mark.parametrize("name", [unit for unit in bf.units.names() if unit != "mmol/L divalent"])
def test_every_trade_unit_is_one_of_the_registry(name: str) -> None:
    """The package's own table of units agrees with pint's definitions."""
    cubed = name.replace("ft3", "ft**3").replace("ft2", "ft**2").replace("m3", "m**3")
    assert bf.units.convert(Q(7.0, SPELLED.get(name, cubed)), name, name) == pytest.approx(7.0, rel=1e-12)


def test_quantities_of_any_registry() -> None:
    foreign = pint.UnitRegistry()
    assert bf.Bed(foreign.Quantity(0.9, "m"), foreign.Quantity(400.0, "mm")) == bf.Bed(0.9, 0.4)
    assert bf.Regeneration("co-current", foreign.Quantity(96.0, "g/L")) == bf.Regeneration("co-current", 96.0)
    assert bf.Water({"Ca": foreign.Quantity(2.0, "mmol/L")}).ions["Ca"] == pytest.approx(80.156, rel=1e-12)
    assert bf.Water({"Ca": 80.0}, temperature_c=foreign.Quantity(59.0, "degF")).temperature_c == pytest.approx(
        15.0, rel=1e-12
    )
    assert bf.Bed(pint.Quantity(3.0, "ft"), 0.4).depth_m == pytest.approx(0.9144, rel=1e-12)
    with pytest.raises(bf.InputError, match="difference of temperatures"):
        bf.Water({"Ca": 80.0}, temperature_c=foreign.Quantity(15.0, "delta_degC"))
    # Short formats, another system of base units, exact numbers.
    short = pint.UnitRegistry(system="cgs")
    short.formatter.default_format = "~P"
    assert bf.Regeneration("co-current", short.Quantity(6.0, "lb/ft**3")).dose_g_per_l == pytest.approx(
        96.11078, rel=1e-6
    )
    exact = pint.UnitRegistry(non_int_type=Decimal)
    assert bf.Bed(exact.Quantity(Decimal(3), "ft"), 0.4).depth_m == pytest.approx(0.9144, rel=1e-12)
    # A unit of its owner's, and a name that means something else there.
    own = pint.UnitRegistry()
    own.define("fathom_of_resin = 0.5 meter")
    own.define("eq = mole")
    assert bf.Bed(own.Quantity(2.0, "fathom_of_resin"), 0.4).depth_m == pytest.approx(1.0, rel=1e-12)
    with pytest.raises(bf.InputError, match="times charge"):
        bf.Resin(own.Quantity(2.0, "eq/L"))
    own.define("coin = [money]")
    with pytest.raises(bf.InputError, match="bed.depth_m"):
        bf.Bed(own.Quantity(2.0, "coin"), 0.4)


def test_numbers_are_taken_as_they_are() -> None:
    """Plain numbers, whole ones and those of numpy come through bit for bit."""
    for number in (0.1 + 0.2, 1, np.float64(1.1), np.float32(1.5), np.int64(2)):
        assert bf.Bed(number, 0.4).depth_m == float(number)
        assert CASE.replace({"bed.depth_m": number}).bed.depth_m == float(number)
    assert bf.Bed(Q(0.3, "m"), 0.4).depth_m == 0.3


def run(code: str) -> str:
    command = [sys.executable, "-W", "error", "-c", code]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_pint_is_loaded_for_quantities_alone() -> None:
    run(
        "import sys, brinefront as bf\n"
        "case = bf.default_case().replace({'bed.depth_m': 1.0, 'cells': 10})\n"
        "cycle = case.cycle()\n"
        "cycle.figure('run_length_bv', 'gal'), bf.units.convert(1.0, 'gr/gal', 'mg/L CaCO3')\n"
        "bf.units.converted(cycle.leakage(), {'bv': 'm3'}, bed_volume_l=100.0)\n"
        "bf.Water({'Ca': 80.0}, temperature_c=12), bf.efficiency_ceiling(case, [90.0])\n"
        "assert 'pint' not in sys.modules\n"
        "bf.units.registry()\n"
        "assert 'pint' in sys.modules"
    )


def test_without_pint_everything_else_works() -> None:
    said = run(
        "import sys\n"
        "sys.modules['pint'] = None\n"
        "import brinefront as bf\n"
        "case = bf.default_case().replace({'bed.depth_m': 1.0, 'cells': 10})\n"
        "cycle = case.cycle()\n"
        "class Metres:\n"
        "    magnitude, units = 3.0, 'm'\n"
        "asked = [bf.units.registry, lambda: cycle.quantity('run_length_bv'), lambda: bf.Bed(Metres(), 0.4)]\n"
        "for ask in asked:\n"
        "    try:\n"
        "        ask()\n"
        "    except bf.MissingPackageError as error:\n"
        "        print(error)\n"
        "assert cycle.figure('run_length_bv', 'gal') > 0.0\n"
    )
    assert said.count('pip install pint, or brinefront with its extra "units"') == 3
