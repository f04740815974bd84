"""What holds wherever pytest is started from: warnings are errors, pictures are compared with their baselines.

The settings of py/pyproject.toml are read only where pytest is started in `py`.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
# The gallery stands beside this folder, where the documentation reads it too.
sys.path.insert(0, str(HERE.parent))


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    """Turn on what py/pyproject.toml says, before the plugins look."""
    config.addinivalue_line("filterwarnings", "error")
    if not config.getoption("--mpl-generate-path"):
        config.option.mpl = True


@pytest.fixture(autouse=True)
def _figures_are_closed() -> Iterator[None]:
    """No test leaves a figure behind for the next."""
    yield
    if (pyplot := sys.modules.get("matplotlib.pyplot")) is not None:
        pyplot.close("all")
