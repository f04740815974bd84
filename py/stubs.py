"""Write ``_core.pyi``, the types of the native half, from the compiled library: ``python py/stubs.py [--check]``.

maturin reads names, parameters, defaults and docstrings out of the library, and the types that Rust knows. What Rust hands
over as an object stands in `EXACT`, and a type without an exact name there fails. The figures of a cycle are a class for type
checkers alone, of what the library says of them. With ``--check`` nothing is written, and a file that says something else than
the library fails; how it is laid out does not matter.

Needs maturin, and ruff to lay out what is written.
"""

from __future__ import annotations

import ast
import difflib
import os
import re
import subprocess
import sys
import tempfile
from fnmatch import fnmatchcase
from importlib.machinery import ExtensionFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path
from typing import Any

TOP = Path(__file__).resolve().parent.parent
STUBS = TOP / "py" / "python" / "brinefront" / "_core.pyi"

HEAD = """
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from os import PathLike
from typing import Any, ClassVar, Final, Literal, SupportsIndex, TypeAlias, final

from brinefront.native.enumerations import BrineWater, Direction, Outcome, StopReason
from brinefront.native.sayings import SearchEnd
from brinefront.results import Cycle, Run, SaltAccount
from brinefront.units.quantity import Number, Quantity

_Progress: TypeAlias = Callable[[int, int, int, float], object]
_Direction: TypeAlias = Direction | Literal["co-current", "counter-current"]
_Water: TypeAlias = BrineWater | Literal["soft", "feed"]
_Step: TypeAlias = Backwash | Brine | SlowRinse | FastRinse | Standby
_Found: TypeAlias = tuple[dict[str, Any] | None, dict[str, int], str]
_Compared: TypeAlias = tuple[list[Cycle], str, str, list[str], dict[str, int]]
"""

# What a call returns or a property holds, `Class.name`, and what a parameter takes, `Class.name(parameter)`; `*` stands for
# any name, and the first line that fits is taken.
EXACT = {
    "*(amounts)": "str | Quantity",
    "*(progress)": "_Progress | None",
    "*(threads)": "int | None",
    "*(axes)": "dict[str, list[Any]]",
    "*(from_loading)": "Mapping[str, Number] | str",
    "*.__reduce__": "tuple[Callable[[str], object], tuple[str]]",
    "Brine.direction": "_Direction | None",
    "Case.__new__(cells)": 'int | Quantity | Literal["auto"] | None',
    "Case.__new__(hardness_ions)": "Sequence[str] | None",
    "Case.cells": 'int | Literal["auto"]',
    "Case.__new__(shells)": 'int | Quantity | Literal["fitted"] | None',
    "Case.shells": 'int | Literal["fitted"]',
    "Case.cycle": "Cycle",
    "Case.cycles": "list[Cycle]",
    "Case.cycles(n)": "int",
    "Case.elute": "Run",
    "Case.hardness_ions": "tuple[str, ...]",
    "Case.load": "Run",
    "Case.from_toml(text_or_path)": "str | PathLike[str]",
    "Case.replace(changes)": "Mapping[str, Any]",
    "Case.salt_account": "SaltAccount",
    "Backwash.water": "_Water | None",
    "FastRinse.direction": "_Direction | None",
    "FastRinse.water": "_Water | None",
    "PointStream.__next__": "tuple[int, _Found]",
    "Recipe.__getitem__": "_Step",
    "Recipe.__new__(steps)": "Iterable[_Step]",
    "Recipe.steps": "tuple[_Step, ...]",
    "Regeneration.__new__(salt_impurities_percent)": "Mapping[str, Number] | None",
    "Regeneration.direction": "_Direction",
    "Regeneration.salt_impurities_percent": "dict[str, float]",
    "Regeneration.slow_rinse_water": "_Water | None",
    "Resin.__new__(bead_diffusivity_m2_per_s)": "Number | Mapping[str, Number] | str | None",
    "Resin.__new__(bead_sizes)": "Sequence[tuple[Number, Number]] | None",
    "Resin.__new__(selectivity)": "Mapping[str, Number] | str | None",
    "Resin.bead_diffusivity_m2_per_s": "float | dict[str, float] | str",
    "Resin.bead_sizes": "tuple[tuple[float, float], ...]",
    "Resin.selectivity": "dict[str, float] | str",
    "SlowRinse.direction": "_Direction | None",
    "SlowRinse.water": "_Water | None",
    "Water.__new__(balance)": "str | None",
    "Water.__new__(ions)": "Mapping[str, Number | str]",
    "Water.balance": "str | None",
    "Water.eq_per_l": "dict[str, float]",
    "Water.ions": "dict[str, float]",
    "case_file": "tuple[Case, str]",
    "compare": "_Compared",
    "compare_at_leakage": "_Compared",
    "diffusivity_sets": "list[dict[str, Any]]",
    "efficiency_ceiling": "list[dict[str, Any]]",
    "equilibrium": "dict[str, float]",
    "equilibrium(selectivity)": "Mapping[str, Number] | str",
    "equilibrium(solution)": "Mapping[str, Number]",
    "fields": "list[dict[str, Any]]",
    "figures": "list[dict[str, Any]]",
    "hydraulics": "list[dict[str, Any]]",
    "ions": "list[dict[str, Any]]",
    "said_in_toml": "dict[str, Any]",
    "selectivity_sets": "list[dict[str, Any]]",
    "sweep": "list[_Found]",
    "through_time": "dict[str, Any]",
    "through_time(moments)": "int",
    "waves": "dict[str, Any]",
    "waves(levels)": "int",
}
# Defaults of parameters that Rust takes as objects, which introspection leaves out; of a class, its docstring has them.
# stubtest holds them against the library.
DEFAULTS = {
    "equilibrium(temperature_c)": 25.0,
}
# What a kind of figure is in Python.
KINDS = {"number": "float", "whole": "int", "flag": "bool", "text": "str"}
# Figures that are more than a text.
FIGURES = {"direction": "Direction", "outcome": "Outcome", "search_end": "SearchEnd", "stop_reason": "StopReason"}
# What cargo calls the library, by system.
LIBRARIES = ("lib_core.so", "lib_core.dylib", "_core.dll")
# Types that say less than can be known.
INEXACT = {"Any", "Incomplete", "dict", "list", "tuple", "Mapping"}


def main() -> int:
    """Write the file or compare it; the exit code is returned."""
    tree = ast.parse(introspected())
    library = built()
    Exact(whole_numbers(library)).visit(tree)
    tree.body = [tree.body[0], *ast.parse(HEAD).body, *without_imports(tree.body[1:]), figures(library)]
    known = ast.unparse(ast.fix_missing_locations(plain(tree)))
    if "--check" not in sys.argv[1:]:
        write(known)
        return 0
    said = ast.unparse(plain(ast.parse(STUBS.read_text(encoding="utf-8"))))
    difference = difflib.unified_diff(
        said.splitlines(), known.splitlines(), STUBS.name, "the library", lineterm="", n=1
    )
    print("\n".join(difference) or f"{STUBS.name} is what the library says")
    return int(said != known)


def introspected() -> str:
    """What maturin finds in the library, built as for a wheel so that neither is built twice."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "maturin", "generate-stubs", "--profile", "release", "--locked", "--quiet"]
        subprocess.run([*command, "-m", TOP / "py" / "Cargo.toml", "-o", folder], check=True, cwd=TOP)
        (found,) = Path(folder).rglob("_core.pyi")
        return found.read_text(encoding="utf-8")


def built() -> Any:
    """The library that introspection has just built."""
    target = Path(os.environ.get("CARGO_TARGET_DIR", TOP / "target"))
    # maturin moves what cargo built into a folder of its own.
    places = [target / folder / name for folder in ("maturin", "release") for name in LIBRARIES]
    path = max((each for each in places if each.exists()), key=lambda each: each.stat().st_mtime)
    loader = ExtensionFileLoader("_core", str(path))
    spec = spec_from_loader("_core", loader)
    assert spec is not None
    library = module_from_spec(spec)
    loader.exec_module(library)
    return library


def whole_numbers(library: Any) -> dict[str, str]:
    """The types of arguments that are whole numbers, by what the library says of its fields."""
    fields = (each for each in library.fields() if each["kind"] == "whole")
    return {f"{each['owner']}.__new__({each['name'].rpartition('.')[2]})": "int | Quantity | None" for each in fields}


def figures(library: Any) -> ast.stmt:
    """The class of the figures of a cycle."""
    lines = [f"    {each['name']}: {FIGURES.get(each['name'], KINDS[each['kind']])}\n" for each in library.figures()]
    head = '    """The figures of a cycle, for type checkers: the package makes its class of `figures`."""\n'
    return ast.parse(f"@dataclass(frozen=True, kw_only=True)\nclass _Figures:\n{head}{''.join(lines)}").body[0]


class Exact(ast.NodeTransformer):
    """Puts exact types in the place of what introspection says."""

    def __init__(self, known: dict[str, str]) -> None:
        self.owner = ""
        self.known = known
        self.unused = set(EXACT)
        self.defaults: dict[str, float] = dict(DEFAULTS)
        self.inexact: list[str] = []

    def visit_Module(self, node: ast.Module) -> ast.Module:
        self.generic_visit(node)
        if self.inexact or self.unused:
            lines = [f"no exact type in EXACT: {line}" for line in self.inexact]
            sys.exit("\n".join([*lines, *(f"in EXACT for nothing: {name}" for name in sorted(self.unused))]))
        return node

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.ClassDef:
        self.owner = f"{node.name}."
        said = re.findall(r"^(\w+) : .*, default ([\d.]+)$", ast.get_docstring(node) or "", re.MULTILINE)
        self.defaults |= {f"{node.name}.__new__({name})": float(value) for name, value in said}
        # Every object has it; a stub leaves it out.
        node.body = [each for each in node.body if not (isinstance(each, ast.FunctionDef) and each.name == "__repr__")]
        self.generic_visit(node)
        self.owner = ""
        names = {each.name for each in node.body if isinstance(each, ast.FunctionDef)}
        if "__eq__" in names and "__hash__" not in names:
            # Python takes the hash away where equality is defined.
            node.body += ast.parse("__hash__: ClassVar[None]").body
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.FunctionDef:
        name = self.owner + node.name
        node.returns = self.exact(name, node.returns)
        others = [] if node.args.kwarg is None else [node.args.kwarg]
        for each in [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs, *others]:
            if each.arg not in {"self", "cls"}:
                each.annotation = self.exact(f"{name}({each.arg})", each.annotation)
        named = zip(node.args.kwonlyargs, node.args.kw_defaults, strict=True)
        node.args.kw_defaults = [self.default(f"{name}({each.arg})", found) for each, found in named]
        return node

    def default(self, name: str, found: ast.expr | None) -> ast.expr | None:
        """The default of a parameter: as it was found, or else as `DEFAULTS` or a docstring has it."""
        if not (isinstance(found, ast.Constant) and found.value is ...):
            return found
        if name not in self.defaults:
            self.inexact.append(f"{name}: its default, in DEFAULTS")
            return found
        return ast.Constant(self.defaults[name])

    def exact(self, name: str, found: ast.expr | None) -> ast.expr:
        """The type of a place: as `EXACT` has it, or else as it was found."""
        for pattern, words in EXACT.items():
            if fnmatchcase(name, pattern):
                self.unused.discard(pattern)
                return ast.parse(words, mode="eval").body
        if name in self.known:
            return ast.parse(self.known[name], mode="eval").body
        said = "Any" if found is None else ast.unparse(found)
        said = said.replace("SupportsFloat | SupportsIndex", "Number").replace("SupportsGetItem[int, ", "Sequence[")
        tree = ast.parse(said, mode="eval").body
        whole = {id(each.value) for each in ast.walk(tree) if isinstance(each, ast.Subscript)}
        names = [each for each in ast.walk(tree) if isinstance(each, ast.Name)]
        if any(each.id in INEXACT and id(each) not in whole for each in names):
            self.inexact.append(f"{name}: {said}")
        return tree


def without_imports(body: list[ast.stmt]) -> list[ast.stmt]:
    """All but the imports, which `HEAD` has."""
    return [each for each in body if not isinstance(each, (ast.Import, ast.ImportFrom))]


def plain(tree: ast.Module) -> ast.Module:
    """The same with docstrings as they are read, without their margins."""
    for node in ast.walk(tree):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)):
            text = ast.get_docstring(node)
            first = node.body[0] if node.body else None
            if text is not None and isinstance(first, ast.Expr):
                first.value = ast.Constant("\n".join(line.rstrip() for line in text.strip().splitlines()))
    return tree


def write(text: str) -> None:
    """Lay the text out and write it."""
    ruff = [sys.executable, "-m", "ruff"]
    settings = ["--config", str(TOP / "py" / "pyproject.toml"), "--stdin-filename", str(STUBS)]
    for command in (["check", "--quiet", "--fix", "--exit-zero"], ["format", "--quiet"]):
        done = subprocess.run([*ruff, *command, *settings, "-"], input=text, capture_output=True, text=True, check=True)
        text = done.stdout
    text = text.replace("    __hash__: ClassVar[None]\n", "    __hash__: ClassVar[None]  # type: ignore[assignment]\n")
    note = "# Written by `py/stubs.py`; change that, or the signatures and docstrings in `py/src`.\n"
    STUBS.write_text(note + text, encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
