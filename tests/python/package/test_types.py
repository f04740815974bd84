"""A strict type checker passes the package, and the code that a reader is shown."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import examples

PY = Path(__file__).parents[3] / "py"


def test_the_package_is_strictly_typed() -> None:
    checked("-p", "brinefront")


def test_the_examples_are_strictly_typed(tmp_path: Path) -> None:
    shown = examples.shown()
    kinds = {name.partition("_")[0] for name in shown}
    assert kinds == {"readme", "page", "notebook", "docstring", "demo"}
    for name, code in shown.items():
        (tmp_path / f"{name}.py").write_text(code, encoding="utf-8")
    checked(str(tmp_path))


def test_a_member_may_be_compared_where_its_text_may(tmp_path: Path) -> None:
    """A checker that is told of texts must not take a member for something else."""
    lines = [
        "import brinefront as bf",
        "case = bf.default_case()",
        "bf.Regeneration(bf.Direction.CO_CURRENT, 96.0, salt=bf.Salt.SODIUM_CHLORIDE)",
        "said = [case.regeneration.direction == bf.Direction.CO_CURRENT, case.cycle().direction == 'co-current']",
        "said += [case.regeneration.direction == 'co-current', case.regeneration.slow_rinse_water == bf.BrineWater.FEED]",
        "bf.compare(case, bf.At.EQUAL_LEAKAGE)",
    ]
    (tmp_path / "members.py").write_text("\n".join(lines) + "\n", encoding="utf-8")
    checked(str(tmp_path))


def test_the_checker_would_tell(tmp_path: Path) -> None:
    """A wrong type, a wrong name of a field, and a result without a type do not pass."""
    wrong = {
        'bf.default_case().replace(["cells"])': "arg-type",
        "bf.Bed(depth_m='0.9')": "arg-type",
        "bf.Bed(depth=0.9)": "arg-type",
        "bf.Maldistribution(breadth=0.9)": "call-arg",
        "bf.default_case().cycle().run_length": "attr-defined",
        "bf.compare(bf.default_case()).sheet().save()": "attr-defined",
    }
    lines = "".join(f"{line}\n" for line in wrong)
    (tmp_path / "wrong.py").write_text(f"import brinefront as bf\n{lines}", encoding="utf-8")
    said = mypy(str(tmp_path)).stdout.splitlines()
    assert [line.rpartition("[")[2].rstrip("]") for line in said if ": error: " in line] == list(wrong.values()), said


def test_pictures_and_the_live_page_are_there_as_the_checker_believes() -> None:
    """In an interpreter that has imported nothing else; and what they stand on is loaded only when they are used."""
    lines = [
        "import sys, brinefront as bf",
        "assert bf.plot.loading and bf.live.page",
        "assert not {'matplotlib', 'panel'} & set(sys.modules)",
        "assert not hasattr(bf, 'plots')",
    ]
    subprocess.run([sys.executable, "-c", "\n".join(lines)], check=True, timeout=120)


def checked(*what: str) -> None:
    done = mypy(*what)
    assert done.returncode == 0, done.stdout + done.stderr


def mypy(*what: str) -> subprocess.CompletedProcess[str]:
    """The strict checker with the package's settings; `environment` of the demo stands beside it."""
    command = [sys.executable, "-m", "mypy", "--config-file", "pyproject.toml", "--strict", *what]
    found = {**os.environ, "MYPYPATH": str(PY)}
    return subprocess.run(command, cwd=PY, env=found, capture_output=True, text=True, timeout=300, check=False)
