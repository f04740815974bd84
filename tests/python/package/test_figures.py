"""What the library says of figures is what the package has: names, kinds, tables that show them, and values that are not there."""

from __future__ import annotations

import ast
import math
from pathlib import Path

import brinefront as bf
import pytest
from brinefront import _core
from brinefront.words.figures import Figures, figure, figures, of_record, shown_in, with_errors

CASE = bf.default_case().replace({"cells": 10})
STUBS = Path(bf.__file__).with_name("_core.pyi")


def test_type_checkers_know_the_figures_of_the_record() -> None:
    tree = ast.parse(STUBS.read_text(encoding="utf-8"))
    (known,) = [each for each in tree.body if isinstance(each, ast.ClassDef) and each.name == "_Figures"]
    typed = {
        ast.unparse(each.target): ast.unparse(each.annotation) for each in known.body if isinstance(each, ast.AnnAssign)
    }
    more = {"direction": "Direction", "outcome": "Outcome", "stop_reason": "StopReason", "search_end": "SearchEnd"}
    assert all(issubclass(getattr(bf, name), str) for name in more.values())
    kinds = {each.name: each.kind for each in figures()}
    assert typed == kinds | more, "python py/stubs.py writes the stub"


@pytest.mark.parametrize("table", ["key", "sweep", "search"])
def test_a_table_shows_its_figures_in_its_places(table: str) -> None:
    names = shown_in(table)
    places = {each["name"]: each["tables"].get(table) for each in _core.figures()}
    assert [places[name] for name in names] == list(range(len(names)))
    assert len(names) == sum(place is not None for place in places.values()) > 0


def test_every_numerical_error_is_of_a_figure() -> None:
    errors = with_errors()
    of_shapes = {"waste_curve_error_fraction", "profiles_error_fraction"}
    all_of_them = {each.name for each in figures() if each.name.endswith("_error_fraction")}
    assert {error for _, error in errors} == all_of_them - of_shapes
    assert all(figure(name).kind == "float" for name, _ in errors)


def test_a_figure_that_does_not_exist_is_nan_and_a_number_crosses_as_it_is() -> None:
    ((found, _, error),) = _core.sweep(CASE.replace({"site": None}), {"cells": [10]}, 1, None)
    assert found is not None, error
    assert found["salt_kg_per_week"] is None
    assert [type(found[name]) for name in ("dose_g_per_l", "cells", "settled", "search_end")] == [
        float,
        int,
        bool,
        bf.SearchEnd,
    ]
    held = Figures(**of_record({**found, "residual": math.inf, "distance": math.nan}))
    assert math.isnan(held.salt_kg_per_week) and math.isnan(held.distance)
    assert held.residual == math.inf
