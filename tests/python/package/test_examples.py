"""The code that a reader is shown runs; notebooks are executed by ``tests/tools/notebooks.py``."""

from __future__ import annotations

import doctest
import runpy
from pathlib import Path

import brinefront as bf
import examples
import pytest


def test_the_readme_runs(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Word for word, on a coarser bed."""
    coarse = bf.default_case().replace({"cells": 25})
    monkeypatch.setattr(bf, "default_case", lambda: coarse)
    monkeypatch.chdir(tmp_path)
    blocks = examples.of_readme()
    assert blocks
    for name, block in blocks.items():
        script = tmp_path / f"{name}.py"
        script.write_text(block, encoding="utf-8")
        runpy.run_path(str(script))
    assert "counter-current" in capsys.readouterr().out
    assert (tmp_path / "comparison.png").stat().st_size > 50_000


@pytest.mark.parametrize(
    "example",
    [test for module in examples.modules() for test in examples.documented(module)],
    ids=lambda test: test.name,
)
def test_docstrings_run(example: doctest.DocTest) -> None:
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    found: list[str] = []
    runner.run(example, out=found.append)
    assert runner.summarize(verbose=False).failed == 0, "".join(found)
