"""The package is built in rooms of one order: no import goes up, none goes round, types and functions included."""

from __future__ import annotations

import importlib
import re
import sys
from pathlib import Path
from types import MethodType
from typing import get_args

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "tools"))

import house
from brinefront.native import handover

FILES = house.sources(house.PYTHON, (".py", ".pyi"), None)
HOUSE = house.python_house(FILES)
# Modules whose names the library may use: exceptions, quantities as arguments, and the one door to the classes above.
CALLED_BY_THE_LIBRARY = {"brinefront.errors", "brinefront.units.quantities", "brinefront.native.handover"}
FORMER = [
    ("study", "Comparison", "brinefront.results"),
    ("study", "sweep", "brinefront.tables.sweeps"),
    ("salt_account", "SaltAccount", "brinefront.results"),
    ("theory", "waves", "brinefront.results"),
    ("theory", "efficiency_ceiling", "brinefront.tables.ceiling"),
    ("figures", "Figures", "brinefront.results"),
    ("figures", "figures", "brinefront.words.figures"),
]


def test_every_import_goes_down() -> None:
    assert sum(map(len, HOUSE.imports.values())) > 200, "the search no longer finds the imports"
    assert set(HOUSE.rooms) == set(house.PYTHON_ROOMS), "a room without a place in the order"
    assert HOUSE.upward() == []


def test_no_imports_go_round() -> None:
    assert HOUSE.circles() == []


def test_every_room_has_a_head_comment() -> None:
    heads = {path: text for path, text in FILES.items() if path.endswith("__init__.py")}
    assert {path.split("/")[0] for path in heads if "/" in path} == {
        path.split("/")[0] for path in FILES if "/" in path
    }
    assert all(text.startswith('"""') for text in heads.values())


def test_the_library_calls_upwards_in_one_place() -> None:
    skins = "".join(path.read_text("utf-8") for path in sorted((house.TOP / "py" / "src").rglob("*.rs")))
    called = set(re.findall(r"(?:import\(\"|import_exception!\()(brinefront[\w.]*)", skins))
    assert called == CALLED_BY_THE_LIBRARY
    kinds = set(re.findall(r"finished\(\"([\w ]+)\"", skins))
    assert kinds == set(get_args(handover.Kind))
    assert {kind: type(handover.maker(kind)) for kind in kinds} == dict.fromkeys(kinds, MethodType)


@pytest.mark.parametrize("room", ["results", "live", "report"])
def test_an_import_that_goes_up_or_round_is_found(room: str) -> None:
    wrong = FILES | {"words/text.py": FILES["words/text.py"] + f"\n\ndef _f():\n    from brinefront import {room}\n"}
    found = house.python_house(wrong)
    assert ("words/text.py", f"{room}/__init__.py") in found.upward()
    assert any("words/text.py" in each for each in found.circles())


def test_rust_paths_are_followed_to_the_file_that_defines_the_name() -> None:
    files = {
        "lib.rs": "pub mod bed;\npub mod laws;\npub use laws::film::Film;",
        "laws/mod.rs": "pub mod film;",
        "laws/film.rs": "pub struct Film;\n#[cfg(test)]\nmod tests {\n    use crate::bed::cell::Cell;\n}",
        "bed/mod.rs": "mod cell;\nmod row;\npub use cell::{Cell, Edge as Side};",
        "bed/cell.rs": "use crate::{Film, laws::film::{self, Film as F}};\nuse super::row::Row; // use crate::study::no",
        "bed/row.rs": "fn f(case: &Case) -> crate::bed::Side { super::Cell::new() }",
    }
    found = house.rust_house(files)
    assert found.imports["bed/cell.rs"] == {"laws/film.rs", "bed/row.rs"}
    assert found.imports["bed/row.rs"] == {"bed/cell.rs"}
    assert found.imports["laws/film.rs"] == set()
    assert found.circles() == [["bed/cell.rs", "bed/row.rs"]]
    assert house.takes_case(files) == ["bed/row.rs: f"]


@pytest.mark.parametrize(("module", "name", "home"), FORMER)
def test_a_former_place_gives_the_name_with_a_warning(module: str, name: str, home: str) -> None:
    former = importlib.import_module(f"brinefront.{module}")
    with pytest.warns(DeprecationWarning, match=rf"brinefront\.{module}\.{name} is now {home}\.{name}"):
        found = getattr(former, name)
    assert found is getattr(importlib.import_module(home), name)
    with pytest.raises(AttributeError):
        former.no_such_name  # noqa: B018
