"""Every public name has a docstring that numpydoc passes, and what it says of defaults and limits is what happens."""

from __future__ import annotations

import ast
import dataclasses
import importlib
import inspect
import re
from collections.abc import Iterator
from enum import Enum
from pathlib import Path
from types import ModuleType
from typing import Any

import brinefront as bf
import pytest
from brinefront.units.fields import DIMENSIONLESS, of_name
from numpydoc.docscrape import FunctionDoc, NumpyDocString
from numpydoc.validate import validate

MODULES = ("brinefront", "brinefront.plot", "brinefront.units", "brinefront.report", "brinefront.live")
STUBS = Path(bf.__file__).parent / "_core.pyi"

# What numpydoc's validator checks and this package leaves out, with the reason.
LEFT_OUT = {
    "GL01": "a summary starts beside its quotes",
    "GL02": "the compiler hands over docstrings without a last line of their own",
    "ES01": "a summary that says everything needs no second paragraph",
    "SA01": "names that belong together are mostly linked in the text",
    "EX01": "MAIN below says who must have examples",
    "YD01": "the one generator here is a context manager, and yields nothing",
}
# Classes that nobody builds but the package: attributes are what a reader needs of them, and are checked in their place.
MADE_HERE = {
    "brinefront.ActivityLaw",
    "brinefront.At",
    "brinefront.BrineWater",
    "brinefront.Comparison",
    "brinefront.ConcentrationUnit",
    "brinefront.Cycle",
    "brinefront.DesignRule",
    "brinefront.Direction",
    "brinefront.DisplayUnits",
    "brinefront.FilmCorrelation",
    "brinefront.FilmDiffusion",
    "brinefront.Kinetics",
    "brinefront.LeakageBound",
    "brinefront.LeakageTarget",
    "brinefront.LiftedMixing",
    "brinefront.LongTable",
    "brinefront.Note",
    "brinefront.Outcome",
    "brinefront.Point",
    "brinefront.PointStream",
    "brinefront.Run",
    "brinefront.Salt",
    "brinefront.SaltAccount",
    "brinefront.SaltShare",
    "brinefront.SearchEnd",
    "brinefront.SelectivityBasis",
    "brinefront.ServiceFlow",
    "brinefront.SiteTarget",
    "brinefront.StopReason",
    "brinefront.Waves",
    "brinefront.plot.Movie",
    # A protocol: pint makes them.
    "brinefront.units.Quantity",
}
# Whoever a reader meets first has an example.
MAIN = {
    "brinefront": "Water Resin Bed Maldistribution Rates Service Regeneration Recipe Site Case Case.replace Case.cycle "
    "Case.load Case.elute Case.salt_account default_case compare sweep sweep_stream equilibrium hydraulics waves "
    "efficiency_ceiling ions selectivity_sets diffusivity_sets long_table Cycle.leakage Cycle.figure Cycle.through_time "
    "InputError",
    "brinefront.plot": "bed_profiles brine_efficiency comparison_sheet depth_time elution leakage leakage_and_salinity "
    "loading movie projected salt_account waves",
    "brinefront.units": "convert converted names registry",
}
# What each class is built with where one argument is tried after the other.
BUILT_WITH: dict[str, dict[str, Any]] = {
    "Water": {"ions": {"Ca": 80.0}},
    "Resin": {},
    "Bed": {"depth_m": 0.9, "diameter_m": 0.4},
    "Maldistribution": {"spread": 0.2},
    "Rates": {},
    "Service": {"flow_bv_per_h": 20.0, "limit_mg_per_l_caco3": 17.0},
    "Regeneration": {"direction": "co-current", "dose_g_per_l": 96.0},
    "Site": {"name": "Heron Weir", "water_use_m3_per_day": 10.0},
    "Backwash": {},
    "Brine": {},
    "SlowRinse": {},
    "FastRinse": {},
    "Standby": {"minutes": 10.0},
    "Case": {name: getattr(bf.default_case(), name) for name in ("water", "resin", "bed", "service", "regeneration")},
    "equilibrium": {"solution": {"Na": 0.1}, "selectivity": {}, "capacity_eq_per_l": 1.8, "activity": "davies"},
}
NUMBER = r"-?\d+(?:\.\d+)?(?:e-?\d+)?"


def public(name: str) -> Iterator[str]:
    """The names that a module hands out, with the public members of its classes."""
    module = importlib.import_module(name)
    for each in module.__all__:
        found = getattr(module, each)
        if isinstance(found, (ModuleType, str)):
            continue
        yield f"{name}.{each}"
        # Members of an enumeration are said in its own docstring.
        if inspect.isclass(found) and not issubclass(found, Enum):
            yield from (f"{name}.{each}.{member}" for member in sorted(members(found)))


def members(owner: type) -> set[str]:
    """What a class and those of the package that it stands on say by themselves; fields are attributes."""
    own = {member for base in owner.__mro__ if base.__module__.startswith("brinefront") for member in vars(base)}
    fields = {each.name for each in dataclasses.fields(owner)} if dataclasses.is_dataclass(owner) else set()
    return {member for member in own - fields if not member.startswith("_")}


NAMES = [name for module in MODULES for name in public(module)]


@pytest.mark.parametrize("name", NAMES)
def test_numpydoc_passes(name: str) -> None:
    left_out = {*LEFT_OUT, *({"PR01"} if name in MADE_HERE else ())}
    wrong = [f"{code}: {words}" for code, words in validate(name)["errors"] if code not in left_out]
    assert not wrong


def test_numpydoc_would_tell() -> None:
    """Names are found, and one without what the others have does not pass."""
    assert {"brinefront.Case.elute", "brinefront.Cycle.quantity", "brinefront.Water.balance"} <= set(NAMES)
    assert set(MADE_HERE) <= set(NAMES)
    codes = {code for code, _ in validate("brinefront.tables.frames.curve_table")["errors"]}
    assert {"PR01", "RT01"} <= codes - set(LEFT_OUT)


@pytest.mark.parametrize("name", sorted(MADE_HERE))
def test_attributes_of_what_is_made_here(name: str) -> None:
    owner = resolved(name)
    if not dataclasses.is_dataclass(owner):
        return
    said = {each for entry in sections(owner)["Attributes"] for each in entry.name.split(", ")}
    fields = {each.name for each in dataclasses.fields(owner) if not each.name.startswith("_")}
    assert said == fields


def test_native_returns_are_said() -> None:
    """numpydoc sees no body of a compiled function, and so no return in it: the stubs know."""
    silent = []
    for node in ast.parse(STUBS.read_text(encoding="utf-8")).body:
        functions = node.body if isinstance(node, ast.ClassDef) else [node]
        for each in functions:
            if not isinstance(each, ast.FunctionDef) or each.name.startswith("_") or each.returns is None:
                continue
            if any(isinstance(mark, ast.Name) and mark.id == "property" for mark in each.decorator_list):
                continue
            name = f"{node.name}.{each.name}" if isinstance(node, ast.ClassDef) else each.name
            nothing = isinstance(each.returns, ast.Constant) and each.returns.value is None
            if not nothing and name not in BEHIND and "Returns" not in (ast.get_docstring(each) or ""):
                silent.append(name)
    assert not silent


# Functions of the native half that a public one stands in front of, most of the same name.
BEHIND = {
    "compare",
    "compare_at_leakage",
    "convert_concentration",
    "efficiency_ceiling",
    "hydraulics",
    "sweep",
    "through_time",
    "waves",
}


@pytest.mark.parametrize("name", [f"{module}.{each}" for module, names in MAIN.items() for each in names.split()])
def test_main_names_have_examples(name: str) -> None:
    """That they run is tested where all examples are."""
    assert ">>> " in "\n".join(sections(resolved(name))["Examples"])


@pytest.mark.parametrize("name", NAMES)
def test_a_number_says_its_unit(name: str) -> None:
    """A parameter whose name carries a unit has it in brackets."""
    found = resolved(name)
    if not callable(found):
        return
    for each in sections(found)["Parameters"]:
        unit = of_name(each.name)
        if unit is not None and unit.quantity != DIMENSIONLESS:
            assert re.search(r"\[[^]]+\](?!_)", " ".join(each.desc)), each.name


@pytest.mark.parametrize("name", BUILT_WITH)
def test_limits_are_what_is_said(name: str) -> None:
    """A number far out of limits is refused, with the limits of the docstring."""
    built, compared = getattr(bf, name), 0
    for each in sections(built)["Parameters"]:
        if not each.type.startswith(("float or Quantity", "int")):
            continue
        # What is told behind the limits is the default and where it comes from.
        said = re.search(rf"\b({NUMBER}) to ({NUMBER})", re.split(r"[;:(]|\. ", " ".join(each.desc))[0])
        if said is None:
            continue
        with pytest.raises(bf.InputError) as refused:
            built(**{**BUILT_WITH[name], each.name: -1_000_000_000})
        limits = re.search(rf"from ({NUMBER}) to ({NUMBER})", refused.value.limits)
        assert limits is not None, (each.name, refused.value)
        assert list(map(float, limits.groups())) == list(map(float, said.groups())), each.name
        compared += 1
    assert compared


@pytest.mark.parametrize(("name", "least"), [("Resin", 8), ("Regeneration", 4), ("Case", 3), ("Maldistribution", 1)])
def test_defaults_are_what_is_said(name: str, least: int) -> None:
    """Where the text has the default, because the signature has None."""
    built, compared = getattr(bf, name)(**BUILT_WITH[name]), 0
    for each in sections(type(built))["Parameters"]:
        said = re.search(rf"\b({NUMBER}) if None", " ".join(each.desc))
        # None stays None where it depends on other fields.
        if said is not None and getattr(built, each.name) is not None:
            assert getattr(built, each.name) == float(said[1]), each.name
            compared += 1
    assert compared >= least


def resolved(name: str) -> Any:
    """The object of a dotted name; a property is itself."""
    module = max((each for each in MODULES if name.startswith(f"{each}.")), key=len)
    found: Any = importlib.import_module(module)
    for part in name.removeprefix(f"{module}.").split("."):
        found = getattr(found, part)
    return found


def sections(found: Any) -> Any:
    """The docstring by section, as numpydoc reads it."""
    words = inspect.getdoc(found) or ""
    return NumpyDocString(words) if inspect.isclass(found) else FunctionDoc(found)
