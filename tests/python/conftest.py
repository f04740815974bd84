"""What holds wherever pytest is started from: warnings are errors, pictures are compared with their baselines.

========================  =======================================================================
``physics``               what the model says: closed forms, an independent integrator, calibration
``answers``               studies and results: accuracy, recipes, sweeps, salt account, interruption
``units``                 trade units and quantities, in and out
``tables_and_files``      labels, datasets, the bed through time, files written and read back
``pictures``              what is drawn, and the ``baseline`` it is compared with
``page``                  the live page, without a browser and in one
``report``                the report as a file
``package``               public names, types, docstrings, copies, shown code, notebooks
``command``               the command line
========================  =======================================================================

Modules that tests share are in the folder that uses them. Names of files are unique over all folders: pytest imports a
test, and a test its helpers, by the name alone. The settings of py/pyproject.toml are read only where pytest is started
in `py`.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

# Gallery, links and the other programs that tests look into; the documentation reads the gallery there too.
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tools"))


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
