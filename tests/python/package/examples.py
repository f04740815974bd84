"""The Python that a reader is shown: in the README, on the pages of the site, in notebooks, in docstrings, in the demo."""

from __future__ import annotations

import doctest
import importlib
import json
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import brinefront

TOP = Path(__file__).parents[3]


def shown() -> dict[str, str]:
    """Every piece of code by the name of where it stands."""
    demo = (TOP / "py" / "demo.py").read_text("utf-8")
    return {**of_readme(), **of_pages(), **of_notebooks(), **of_docstrings(), "demo": demo}


def of_readme() -> dict[str, str]:
    """The fenced blocks of Python, in their order."""
    return {f"readme_{place}": block for place, block in enumerate(_fenced(TOP / "README.md"))}


def of_pages() -> dict[str, str]:
    """The fenced blocks of each page of the site one after the other: what follows stands on what was above it."""
    pages = {f"page_{path.stem}": "\n".join(_fenced(path)) for path in sorted((TOP / "py" / "docs").rglob("*.md"))}
    return {name: code for name, code in pages.items() if code}


def of_notebooks() -> dict[str, str]:
    """The code cells of each notebook one after the other, without the lines that only a notebook understands."""
    return {f"notebook_{path.stem}": _cells(path) for path in sorted((TOP / "notebooks-demo").glob("*.ipynb"))}


def of_docstrings() -> dict[str, str]:
    """The examples in the docstrings of modules, classes and functions, as they would be typed."""
    return {
        re.sub(r"\W", "_", f"docstring_{test.name}"): "".join(example.source for example in test.examples)
        for module in modules()
        for test in documented(module)
    }


def modules() -> Iterator[ModuleType]:
    """The package and all its modules; the one that is run as a command is left alone."""
    yield brinefront
    for found in pkgutil.walk_packages(brinefront.__path__, "brinefront."):
        if not found.name.endswith("__main__"):
            yield importlib.import_module(found.name)


def documented(module: ModuleType) -> list[doctest.DocTest]:
    """The docstrings of a module that hold examples."""
    return [test for test in doctest.DocTestFinder().find(module) if test.examples]


def _fenced(path: Path) -> list[str]:
    return re.findall(r"^```python\n(.*?)^```", path.read_text("utf-8"), re.DOTALL | re.MULTILINE)


def _cells(path: Path) -> str:
    cells = [cell for cell in json.loads(path.read_text("utf-8"))["cells"] if cell["cell_type"] == "code"]
    lines = "\n".join("".join(cell["source"]) for cell in cells).splitlines()
    return "\n".join(line for line in lines if not line.startswith(("%", "!"))) + "\n"
