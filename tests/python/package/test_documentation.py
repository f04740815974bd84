"""The documentation says what is there: every public name is listed, every example runs, a dead link is found."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import brinefront as bf
import pytest

TOP = Path(__file__).parents[3]
DOCS = TOP / "py" / "docs"
sys.path.insert(0, str(TOP / "tests" / "tools"))

from links import check

PAGES = [DOCS / "start.md", *sorted((DOCS / "howto").glob("*.md"))]


def test_every_public_name_is_in_the_reference() -> None:
    listed = set(re.findall(r"auto(?:class|function):: (\w+)", (DOCS / "api.md").read_text(encoding="utf-8")))
    errors = {
        name for name in bf.__all__ if isinstance(getattr(bf, name), type) and issubclass(getattr(bf, name), Exception)
    }
    assert set(bf.__all__) - errors - {"__version__", "live", "plot", "report", "units"} == listed


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_the_examples_of_a_page_run(page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    examples = re.findall(r"^```python\n(.*?)^```", page.read_text(encoding="utf-8"), flags=re.DOTALL | re.MULTILINE)
    assert examples
    monkeypatch.chdir(tmp_path)
    shared: dict[str, object] = {}
    for place, code in enumerate(examples, start=1):
        exec(compile(code, f"{page.name}, example {place}", "exec"), shared)  # noqa: S102


def test_a_dead_link_is_found(tmp_path: Path) -> None:
    (tmp_path / "there.html").write_text('<h1 id="top-of-it">x</h1>', encoding="utf-8")
    page = tmp_path / "index.html"
    page.write_text('<a href="there.html#top-of-it">y</a><a href="https://elsewhere.example">z</a>', encoding="utf-8")
    assert check(tmp_path) == ([], 1)
    page.write_text(
        '<a href="gone.html">a</a><a href="there.html#gone">b</a><script src="https://elsewhere.example/x.js"></script>',
        encoding="utf-8",
    )
    wrong, followed = check(tmp_path)
    assert followed == 2
    assert [words.partition(": ")[2].partition(":")[0] for words in wrong] == [
        "<a href> is not there",
        "<a href> has no such anchor",
        "<script src> comes from elsewhere",
    ]
