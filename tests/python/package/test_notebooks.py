"""The notebooks as committed: executed, small, without warnings, and without physics of their own.

``tests/tools/notebooks.py`` runs them; here what stands in the files is read, and the means of checking them are checked.
"""

from __future__ import annotations

import ast
import importlib.util
import json
import re
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

TESTS = Path(__file__).resolve().parents[2]
PATHS = sorted((TESTS.parent / "notebooks-demo").glob("*.ipynb"))
MOST_BYTES = 1_500_000

# What a notebook may import: the package, what shows its tables and pictures, and the standard library.
SHOWING = {"brinefront", "matplotlib", "numpy", "pandas", "xarray"}
# Functions that a law of nature would need and a table would not.
LAWS = {
    "exp",
    "expm1",
    "log",
    "log1p",
    "erf",
    "erfc",
    "tanh",
    "gradient",
    "trapezoid",
    "cumsum",
    "root",
    "fsolve",
    "quad",
}
# Given figures have few digits; a longer number is a constant or a conversion factor, unless the text above gives it.
FEW_DIGITS = 3

EXERCISES = ["W1", "W2", "W3", "W4", "W5", "W6", "W6b", "W6c", "W6d", "W7", "W8", "W9"]


def module_at(path: Path) -> Any:
    """A file as a module."""
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


script = module_at(TESTS / "tools" / "notebooks.py")


def loaded(path: Path) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return data


def cells(path: Path, kind: str) -> list[dict[str, Any]]:
    return [cell for cell in loaded(path)["cells"] if cell["cell_type"] == kind]


def source(cell: dict[str, Any]) -> str:
    """A cell's text; in code without the lines that only the kernel understands."""
    lines = "".join(cell["source"]).splitlines()
    return "\n".join(line for line in lines if not line.startswith("%"))


def printed(cell: dict[str, Any]) -> str:
    return "".join("".join(output.get("text", [])) for output in cell["outputs"])


def prose(path: Path) -> str:
    return "\n".join(source(cell) for cell in cells(path, "markdown"))


each_notebook = pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)


def test_there_is_a_notebook_for_each_user() -> None:
    for reader in ("engineer", "trainer", "researcher"):
        assert any(f"*For the {reader}" in prose(path) for path in PATHS), reader


@each_notebook
def test_it_says_first_whom_it_is_for(path: Path) -> None:
    first = loaded(path)["cells"][0]
    assert first["cell_type"] == "markdown"
    assert re.match(r"# .+\n\n\*For the ", source(first))


@each_notebook
def test_it_is_executed_from_top_to_bottom_without_warnings(path: Path) -> None:
    counts = [cell["execution_count"] for cell in cells(path, "code")]
    assert counts == list(range(1, len(counts) + 1))
    for cell in cells(path, "code"):
        for output in cell["outputs"]:
            assert output["output_type"] != "error"
            assert output.get("name") != "stderr", "".join(output["text"])


@each_notebook
def test_it_is_of_moderate_size_and_belongs_to_no_machine(path: Path) -> None:
    assert path.stat().st_size < MOST_BYTES
    data = loaded(path)
    assert data["metadata"] == {
        "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
        "language_info": {"name": "python"},
    }
    for cell in data["cells"]:
        assert set(cell["metadata"]) <= {"tags"}
        for output in cell.get("outputs", []):
            output.get("data", {}).pop("image/png", None)
    assert not re.search(r"(?<![\w.:/])/(?:home|root|tmp|usr|work|Users)/|[A-Z]:\\\\", json.dumps(data))


@each_notebook
def test_cautions_stand_in_it(path: Path) -> None:
    words = prose(path) + "".join(printed(cell) for cell in cells(path, "code"))
    assert "## Cautions" in words
    for word in ("odium", "rine", "oiler", "codes"):
        assert word in words


@each_notebook
def test_it_has_headline_numbers_to_check(path: Path) -> None:
    checked = [cell for cell in cells(path, "code") if "check" in cell["metadata"].get("tags", [])]
    assert checked
    for cell in checked:
        assert any(character.isdigit() for character in printed(cell)), source(cell)


@each_notebook
def test_no_physics_stands_in_it(path: Path) -> None:
    assert physics_in("\n".join(source(cell) for cell in cells(path, "code")), prose(path)) == []


@pytest.mark.parametrize(
    ("code", "given", "complaint"),
    [
        ("import scipy.optimize", "", "imports scipy"),
        ("rate = np.exp(-k * t)", "", "calls exp"),
        ("hardness = 17.118 * grains", "", "17.118"),
        ("salt = 58.443 * eq", "58.4 g", "58.443"),
    ],
)
def test_physics_is_recognised(code: str, given: str, complaint: str) -> None:
    assert any(complaint in each for each in physics_in(code, given))


def test_the_givens_of_an_exercise_are_no_physics() -> None:
    assert physics_in("gallons = 2_455_000 / 18.6\nstrength = 107.07", "2,455,000 grains; brine of 107.07 g/L") == []


def physics_in(code: str, given: str) -> list[str]:
    """What belongs into the crate: laws, constants, conversion factors."""
    found = []
    for node in ast.walk(ast.parse(code)):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = [node.module or ""]
            found += [f"calls {alias.name}" for alias in node.names if alias.name in LAWS]
        tops = {name.partition(".")[0] for name in names}
        found += [f"imports {top}" for top in tops if top not in SHOWING and top not in sys.stdlib_module_names]
        if isinstance(node, ast.Call):
            called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            found += [f"calls {called}"] if called in LAWS else []
        if isinstance(node, ast.Constant) and type(node.value) in (int, float):
            figure = Decimal(repr(node.value)).normalize()
            if len(figure.as_tuple().digits) > FEW_DIGITS and f"{figure:,f}" not in given:
                found.append(f"{figure} has many digits and is not given in the text: a constant or a factor?")
    return found


def the_trainers() -> Path:
    return next(path for path in PATHS if "*For the trainer" in prose(path))


def test_every_exercise_has_a_question_a_place_to_answer_and_a_solution() -> None:
    found = loaded(the_trainers())["cells"]
    for name in EXERCISES:
        place = next(i for i, cell in enumerate(found) if f"### {name}. " in source(cell))
        answer, solution = found[place + 1], found[place + 2]
        assert re.match(rf"(?s){name.lower()} = {{.*None", source(answer)), name
        assert re.search(rf"solve\(\s*{name.lower()}\b", source(solution)), name
        assert "check" in solution["metadata"]["tags"]
        assert re.search(r"\*(Published|Derived|Textbook|Problems)", source(found[place])), name


def test_a_solution_that_does_not_round_to_the_printed_figure_stops(tmp_path: Path) -> None:
    code = ast.parse("\n\n".join(source(cell) for cell in cells(the_trainers(), "code")))
    solve = next(node for node in code.body if isinstance(node, ast.FunctionDef) and node.name == "solve")
    alone = tmp_path / "solve.py"
    alone.write_text(
        "from __future__ import annotations\nfrom decimal import Decimal\nfrom brinefront import text\n"
        f"{ast.unparse(solve)}",
        encoding="utf-8",
    )
    check = module_at(alone).solve
    check({}, ("days", 4.27, "4"), ("gal", 1111.1, "1.1e3"), ("SAR", 11.88, "11.9"))
    for computed, printed_figure in ((4.51, "4"), (1151.0, "1.1e3"), (11.96, "11.9"), (1.0, "2")):
        with pytest.raises(AssertionError, match="does not round"):
            check({}, ("figure", computed, printed_figure))


@pytest.mark.parametrize(
    ("before", "after", "same"),
    [
        ("leaks 1.61 mg/L", "leaks 1.61 mg/L", True),
        ("leaks 1.61 mg/L", "leaks 1.62 mg/L", True),  # one in the last digit may be rounding
        ("leaks 1.61 mg/L", "leaks 1.63 mg/L", False),
        ("15 155 L", "15 156 L", True),
        ("15 155 L", "15 158 L", False),
        ("1,001,449", "1,001,544", False),
        ("2e-02", "3e-02", True),
        ("2e-02", "2e-01", False),
        ("< 0.01", "0.01", False),
        ("meets both", "meets one", False),
        ("a    1\n---  --", "a  1\n---- ---", True),  # widths are no figures
    ],
)
def test_outputs_agree_to_the_last_digit(before: str, after: str, same: bool) -> None:
    assert (script.first_difference(before, after) == "") is same
