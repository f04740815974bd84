"""Bad input: a typed exception in Python, one clear line and exit code 2 on the command line."""

from __future__ import annotations

import math
import pickle
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import brinefront as bf
import numpy as np
import pytest

CASE = bf.default_case()
REGENERATION = CASE.regeneration

# What is wrong: how it is said in Python, the field it names, and the lines of a case file that say the same.
VALUES: dict[str, tuple[Callable[[], object], str, dict[str, str]]] = {
    "negative concentration": (lambda: bf.Water({"Ca": -80.0}), "water.ions.Ca", {"Ca = 80.0": "Ca = -80.0"}),
    "NaN dose": (
        lambda: bf.Regeneration("co-current", math.nan),
        "regeneration.dose_g_per_l",
        {"dose_g_per_l = 96.0": "dose_g_per_l = nan"},
    ),
    "NaN in a change": (
        lambda: CASE.replace({"bed.depth_m": math.nan}),
        "bed.depth_m",
        {"depth_m = 0.9": "depth_m = nan"},
    ),
    "unbalanced water": (
        lambda: bf.Water({"Ca": 80.0, "Cl": 10.0}),
        "water.ions",
        {'balance = "Cl"\n': "", "HCO3 = 280.0": "HCO3 = 28.0"},
    ),
    "zero hardness": (
        lambda: CASE.replace({"water": bf.Water({"Na": 60.0})}).cycle(),
        "water.ions",
        {"Ca = 80.0": "Ca = 0.0", "Mg = 24.0": "Mg = 0.0", "Na = 28.0": "Na = 200.0"},
    ),
    "brine above saturation": (
        lambda: CASE.replace({"regeneration.strength_percent": 26.4}),
        "regeneration.strength_percent",
        {"strength_percent = 10.0": "strength_percent = 26.4"},
    ),
    "brine far above saturation": (
        lambda: bf.Regeneration("co-current", 96.0, strength_percent=30.0),
        "regeneration.strength_percent",
        {"strength_percent = 10.0": "strength_percent = 30.0"},
    ),
    "limit above the feed": (
        lambda: CASE.replace({"service.limit_mg_per_l_caco3": 400.0}).cycle(),
        "service.limit_mg_per_l_caco3",
        {"limit_mg_per_l_caco3 = 17.0": "limit_mg_per_l_caco3 = 400.0"},
    ),
    "zero depth": (lambda: bf.Bed(depth_m=0.0, diameter_m=0.3), "bed.depth_m", {"depth_m = 0.9": "depth_m = 0.0"}),
    "0 cells": (lambda: CASE.replace({"cells": 0}), "cells", {'cells = "auto"': "cells = 0"}),
    "10**9 cells": (lambda: CASE.replace({"cells": 10**9}), "cells", {'cells = "auto"': "cells = 1000000000"}),
}
# What a case file's reader refuses before a value is looked at: the same typed exceptions, but for Python alone.
NAMES: dict[str, tuple[Callable[[], object], str]] = {
    "unknown ion": (lambda: bf.Water({"Xx": 1.0}), "water.ions"),
    "unknown ion of a resin": (lambda: bf.Resin(selectivity={"Xx": 1.0}), "resin.selectivity"),
    "unknown unit": (lambda: bf.Water({"Ca": 80.0}, unit="ppm"), "water.unit"),
    "unknown direction": (lambda: bf.Regeneration("sideways", 96.0), "regeneration.direction"),
    "unknown salt": (lambda: bf.Regeneration("co-current", 96.0, salt="XCl"), "regeneration.salt"),
    "unknown correlation": (lambda: bf.Rates(film_correlation="guess"), "rates.film_correlation"),
    "unknown activity": (lambda: CASE.replace({"activity": "debye"}), "activity"),
    "unknown set": (lambda: bf.Resin(selectivity="Nobody1900"), "resin.selectivity"),
    "unknown column of a set": (
        lambda: bf.Resin(selectivity="Bonner1955", crosslinking_percent=12),
        "resin.crosslinking_percent",
    ),
    "a column of given coefficients": (
        lambda: bf.Resin(selectivity={"Ca": 2.6}, crosslinking_percent=8),
        "resin.crosslinking_percent",
    ),
    "an ion that a set lacks": (
        lambda: CASE.replace({"resin.selectivity": "Bonner1955"}),
        "resin.selectivity.Mg",
    ),
    "unknown set of diffusivities": (
        lambda: bf.Resin(bead_diffusivity_m2_per_s="Nobody1900"),
        "resin.bead_diffusivity_m2_per_s",
    ),
    "no column of diffusivities near": (
        lambda: bf.Resin(selectivity={"Ca": 2.6}, crosslinking_percent=12, bead_diffusivity_m2_per_s="BoydSoldano1953"),
        "resin.crosslinking_percent",
    ),
    "an ion whose diffusivity a set lacks": (
        lambda: CASE.replace({"resin.bead_diffusivity_m2_per_s": "BoydSoldano1953"}),
        "resin.bead_diffusivity_m2_per_s.Mg",
    ),
    "separation factors at no normality": (
        lambda: CASE.replace({"resin.selectivity": "Clifford1999"}).cycle(),
        "resin.selectivity_at_eq_per_l",
    ),
    "davies in brine": (lambda: CASE.replace({"activity": "davies"}).cycle(), "activity"),
    "unknown film": (lambda: bf.Rates(film_diffusion="guess"), "rates.film_diffusion"),
    "unknown kinetics": (lambda: CASE.replace({"kinetics": "magic"}), "kinetics"),
    "unknown service flow": (lambda: bf.Service(20.0, volume_bv=1.0, service_flow="left"), "service.service_flow"),
    "unknown field": (lambda: CASE.replace({"regeneration.dosage": 1.0}), "regeneration.dosage"),
    "unknown part": (lambda: CASE.replace({"brine.dose": 1.0}), "brine.dose"),
    "a text for a number": (lambda: CASE.replace({"bed.depth_m": "deep"}), "bed.depth_m"),
    "negative cells": (
        lambda: bf.Case(CASE.water, CASE.resin, CASE.bed, CASE.service, REGENERATION, cells=-1),
        "cells",
    ),
    "unknown direction of a step": (lambda: bf.Brine(direction="up"), "brine.direction"),
    "brine for a backwash": (lambda: bf.Backwash(water="brine"), "backwash.water"),
    "mixing above 1": (lambda: bf.Backwash(mixing=1.5), "backwash.mixing"),
    "two ends": (lambda: bf.SlowRinse(volume_bv=1.0, minutes=5.0), "slow_rinse"),
    "a rinse without a flow": (lambda: bf.FastRinse(flow_bv_per_h=0.0, volume_bv=1.0), "fast_rinse.flow_bv_per_h"),
    "a rinse without end": (lambda: bf.FastRinse(until_hardness_mg_per_l_caco3=5.0), "fast_rinse.at_most_bv"),
    "no volume": (lambda: bf.Brine(volume_bv=0.0), "brine.volume_bv"),
    "no time": (lambda: bf.Standby(0.0), "standby.minutes"),
    "no brine": (lambda: bf.Recipe([bf.FastRinse()]), "recipe"),
    "no step": (lambda: bf.Recipe([]), "recipe"),
    "shares above the dose": (lambda: bf.Recipe([bf.Brine(share=0.7), bf.Brine(share=0.7)]), "recipe.0.share"),
    "service in a recipe": (lambda: bf.Recipe([bf.Brine(), CASE.service]), "recipe.1"),
    "a standby that flows": (
        lambda: CASE.replace({"recipe": [bf.Brine(), bf.Standby(5.0)], "recipe.1.flow_bv_per_h": 3.0}),
        "recipe.1.flow_bv_per_h",
    ),
    "a step that is not there": (lambda: CASE.replace({"recipe.0.minutes": 5.0}), "recipe.0.minutes"),
    "brine against its regeneration": (
        lambda: CASE.replace({"recipe": bf.Recipe([bf.Brine(direction="co-current")])}),
        "recipe.0.direction",
    ),
    "unknown point of comparison": (lambda: bf.compare(CASE, at="equal-price"), "at"),
    "unknown loading": (lambda: CASE.load("brine", 1.0), "from_loading"),
    "no dimension": (lambda: bf.Bed(depth_m=1.0), "bed"),
    "true for a number": (lambda: bf.Bed(True, 0.4), "bed.depth_m"),
    "numpy's true for a number": (lambda: bf.Bed(np.True_, 0.4), "bed.depth_m"),
    "true for a number in a change": (lambda: CASE.replace({"bed.depth_m": np.True_}), "bed.depth_m"),
    "true for a concentration": (lambda: bf.Water({"Ca": True}), "water.ions.Ca"),
    "true for a diffusivity": (
        lambda: bf.Resin(bead_diffusivity_m2_per_s=True),
        "resin.bead_diffusivity_m2_per_s",
    ),
    "true for cells": (
        lambda: bf.Case(CASE.water, CASE.resin, CASE.bed, CASE.service, REGENERATION, cells=True),
        "cells",
    ),
    "true for a count": (lambda: CASE.cycles(True), "n"),
    "true for a dose": (lambda: bf.efficiency_ceiling(CASE, [True]), "doses_g_per_l"),
    "true for an amount": (lambda: bf.units.convert(True, "gal", "L"), "value"),
    "an ion twice": (lambda: CASE.replace({"hardness_ions": ["Ca", "Ca"]}), "hardness_ions"),
    "a text for an axis": (lambda: bf.sweep(CASE, {"cells": "auto"}), "cells"),
    "a text for an axis of a stream": (lambda: bf.sweep_stream(CASE, {"cells": "auto"}), "cells"),
    "a long name": (lambda: CASE.replace({"name": "x" * 101}), "name"),
    "a name in two lines": (lambda: CASE.replace({"name": "one\ntwo"}), "name"),
    "a long name of a site": (lambda: bf.Site("x" * 101, 10.0), "site.name"),
    "no end": (lambda: bf.Service(20.0), "service"),
    "unknown conversion": (lambda: bf.units.convert(1.0, "grain", "g/L"), "source"),
    "unlike units": (lambda: bf.units.convert(1.0, "gr/gal", "lb/ft3"), "target"),
}


def run(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "brinefront", *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def refused(*arguments: str | Path) -> str:
    """The one line that a refused command says."""
    done = run(*arguments)
    assert done.returncode == 2, done
    assert done.stdout == ""
    lines = done.stderr.splitlines()
    assert len(lines) == 1 and "Traceback" not in lines[0], done.stderr
    return lines[0]


@pytest.mark.parametrize("what", VALUES)
def test_a_value_is_refused_in_python(what: str) -> None:
    attempt, field, _ = VALUES[what]
    _named_refusal(attempt, field)


@pytest.mark.parametrize("what", NAMES)
def test_a_name_is_refused_in_python(what: str) -> None:
    attempt, field = NAMES[what]
    _named_refusal(attempt, field)


def _named_refusal(attempt: Callable[[], object], field: str) -> None:
    with pytest.raises(bf.InputError) as caught:
        attempt()
    error = caught.value
    assert isinstance(error, ValueError) and isinstance(error, bf.BrinefrontError)
    assert error.field == field
    assert error.limits
    assert str(error.value) in str(error) and error.field in str(error)
    again = pickle.loads(pickle.dumps(error))
    assert (again.field, str(again.value), again.limits) == (error.field, str(error.value), error.limits)


def test_the_value_of_an_error_is_a_number_where_it_is_one() -> None:
    with pytest.raises(bf.InputError) as caught:
        bf.Bed(depth_m=-0.5, diameter_m=0.3)
    assert caught.value.value == -0.5


@pytest.mark.parametrize("what", VALUES)
def test_a_value_is_refused_on_the_command_line(what: str, tmp_path: Path) -> None:
    _, field, changes = VALUES[what]
    text = CASE.to_toml()
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "case.toml"
    path.write_text(text, encoding="utf-8")
    line = refused("compare", path)
    assert field in line, line


def test_a_refused_amount_is_shown_as_it_was_written(tmp_path: Path) -> None:
    message = "regeneration.dose_g_per_l = 0.01 lb/ft3 (0.16018 g/L): must be a number from 1 to 2000 g"
    for attempt in (
        lambda: bf.Regeneration("co-current", dose="0.01 lb/ft3"),
        lambda: CASE.replace({"regeneration.dose": "0.01 lb/ft3"}),
    ):
        with pytest.raises(bf.InputError) as caught:
            attempt()
        assert str(caught.value).startswith(message) and caught.value.source_name is None
    with pytest.raises(bf.InputError) as caught:
        bf.Brine(duration="-30 min")
    assert "= -30 min: must be" in str(caught.value)
    with pytest.raises(bf.InputError, match=r"bed\.depth_m = 20\.000001: must be a number from 0\.01 to 20 m"):
        bf.Bed(depth_m=20.000001, diameter_m=0.3)
    path = tmp_path / "my.toml"
    path.write_text(CASE.to_toml().replace("dose_g_per_l = 96.0", 'dose = "0.01 lb/ft3"'), encoding="utf-8")
    assert refused("compare", path).startswith(f"brinefront: {path}: {message}")
    with pytest.raises(bf.InputError) as caught:
        bf.Case.from_toml(path)
    assert caught.value.source_name == str(path) and str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)


def test_a_typo_names_file_line_and_key(tmp_path: Path) -> None:
    path = tmp_path / "typo.toml"
    path.write_text(CASE.to_toml().replace("dose_g_per_l", "dose_g_per_litre"), encoding="utf-8")
    line = refused("compare", path)
    assert "typo.toml" in line and "line " in line and "dose_g_per_litre" in line
    with pytest.raises(bf.CaseFileError, match="dose_g_per_litre") as caught:
        bf.Case.from_toml(path)
    assert isinstance(caught.value, ValueError)
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)


def test_a_missing_file_is_named() -> None:
    assert "nowhere.toml" in refused("compare", "nowhere.toml")
    with pytest.raises(FileNotFoundError, match="nowhere.toml") as caught:
        bf.Case.from_toml("nowhere.toml")
    assert isinstance(caught.value, bf.CaseFileError)
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)


def test_a_directory_is_no_case_file(tmp_path: Path) -> None:
    refused("compare", tmp_path)
    with pytest.raises(OSError):
        bf.Case.from_toml(tmp_path)


def test_a_file_that_is_not_utf8_is_named(tmp_path: Path) -> None:
    path = tmp_path / "latin.toml"
    path.write_bytes(CASE.to_toml().replace("Heron", "H\xe9ron").encode("latin-1"))
    line = refused("compare", path)
    assert "latin.toml" in line and "UTF-8" in line
    with pytest.raises(bf.CaseFileError, match="UTF-8"):
        bf.Case.from_toml(path)


def test_unknown_option_values_are_refused_in_one_line() -> None:
    assert "equal-price" in refused("compare", "--at", "equal-price")
    assert "regeneration.dosage" in refused("sweep", "--set", "regeneration.dosage=1,2")
    assert "dose" in refused("sweep", "--set", "dose")
    refused("sweep")
    refused("polish")
    refused()


def test_lists_that_hold_themselves_are_refused() -> None:
    knot: list[object] = []
    knot.append(knot)
    table: dict[str, object] = {}
    table["bed"] = table
    deep: list[object] = []
    for _ in range(100_000):
        deep = [deep]
    for attempt in (
        lambda: CASE.replace({"cells": knot}),
        lambda: CASE.replace({"bed": table}),
        lambda: CASE.replace({"cells": deep}),
        lambda: bf.sweep(CASE, {"cells": knot}),
        lambda: bf.sweep(CASE, {"cells": [deep]}),
        lambda: bf.sweep_stream(CASE, {"bed": [table]}),
        lambda: bf.sweep(CASE, {"regeneration.dose_g_per_l": [96.0, knot]}),
    ):
        with pytest.raises(ValueError, match="nested deeper|holds itself"):
            attempt()
    for attempt in (
        lambda: bf.compare([knot]),  # type: ignore[list-item]
        lambda: bf.Water({"Ca": knot}),  # type: ignore[dict-item]
        lambda: bf.Recipe([knot]),  # type: ignore[list-item]
        lambda: bf.Resin(bead_sizes=knot),  # type: ignore[arg-type]
        lambda: bf.Case.from_json("[" * 1_000_000),
        lambda: bf.Case.from_toml("x = " + "[" * 100_000),
    ):
        with pytest.raises((TypeError, ValueError)):
            attempt()


def test_errors_do_not_repeat_a_megabyte() -> None:
    long = "x" * 1_000_000
    for attempt in (
        lambda: CASE.replace({"name": long}),
        lambda: CASE.replace({"cells": long}),
        lambda: CASE.replace({long: 1.0}),
        lambda: CASE.replace({f"regeneration.{long}": 1.0}),
        lambda: bf.Water({long: 1.0}),
        lambda: bf.Water({"Ca": long}),  # type: ignore[dict-item]
        lambda: bf.Regeneration(long, 96.0),  # type: ignore[arg-type]
        lambda: bf.units.convert(1.0, long, "m"),
        lambda: bf.Case.from_toml(f'name = "{long}"'),
        lambda: bf.Case.from_json(f'{{"name": "{long}"}}'),
        lambda: bf.sweep(CASE, {"cells": long}),
    ):
        with pytest.raises(ValueError) as caught:
            attempt()
        assert len(str(caught.value)) < 3000


def test_an_ion_without_a_coefficient_is_told_what_exists() -> None:
    own = {"resin.selectivity": {"Ca": 2.6, "Mg": 1.6}}
    factors = "none known here does"
    for ion, changes, words in (
        ("Fe", {}, factors),
        ("Fe", {"resin.selectivity": "Bonner1955"}, factors),
        ("Fe", own, factors),
        ("Mn", own, "BonnerSmith1957"),
        ("NH4", own, "BonnerSmith1957"),
    ):
        with pytest.raises(bf.InputError) as caught:
            CASE.replace({f"water.ions.{ion}": 0.5, "water.balance": "Cl"} | changes)
        # Another set may lack an ion that comes first.
        if changes.get("resin.selectivity") != "Bonner1955":
            assert caught.value.field == f"resin.selectivity.{ion}"
            assert words in caught.value.limits
        assert "a number" in caught.value.limits
    # What the error names is there.
    named = {"resin.selectivity": "Clifford1999", "resin.selectivity_at_eq_per_l": 0.1}
    CASE.replace({"water.ions.Fe": 0.5, "water.balance": "Cl", "cells": 10} | named)


def test_a_text_is_read_as_a_path_is() -> None:
    assert bf.Case.from_toml(CASE.to_toml()) == CASE
    assert bf.Case.from_toml("\ufeff" + CASE.to_toml()) == CASE
    with pytest.raises(bf.CaseFileError, match="text: line 1"):
        bf.Case.from_toml("cells = many")
    with pytest.raises(FileNotFoundError, match="cells"):
        bf.Case.from_toml("cells")


@pytest.mark.skipif(sys.platform == "win32", reason="no devices and no pipes with names there")
def test_a_file_without_an_end_is_no_case_file(tmp_path: Path) -> None:
    for path in (Path("/dev/zero"), tmp_path / "long.toml"):
        if path.parent == tmp_path:
            path.write_text("#" * 1_000_001, encoding="utf-8")
        line = refused("compare", path)
        assert "longer than 1000000 bytes" in line and str(path) in line


def test_text_that_is_no_case_is_refused() -> None:
    for text in ("", "{", '{"schema": 1}'):
        with pytest.raises(bf.CaseFileError):
            bf.Case.from_json(text)
        with pytest.raises(bf.CaseFileError):
            bf.Water.from_json(text)
