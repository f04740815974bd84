"""A comparison with numpy alone beside brinefront; what needs more says so in words. Run by ``tests/tools/packages.py``."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import brinefront as bf

# What an import must not cost anybody who only wants figures.
HEAVY = ("matplotlib", "pandas", "xarray", "pint", "jinja2", "panel", "pyarrow", "h5netcdf", "zarr")


def main() -> None:
    """Check the installed package; a failed check ends with its words."""
    assert Path(bf.__file__).is_relative_to(sys.prefix), f"{bf.__file__} is not the installed package"
    loaded = [name for name in HEAVY if name in sys.modules]
    assert not loaded, f"import brinefront loads {loaded}"

    case = bf.default_case().replace({"cells": 40})
    both = bf.compare(case)
    cycle = both.cycles[0]
    assert both.sentence in both.summary().replace("\n", " ")
    figures = both.to_dict()["cases"][0]
    assert figures["run_length_bv"] == cycle.run_length_bv > 0.0
    assert "run length [BV]" in cycle.summary()
    Path("case.toml").write_text(case.to_toml(), encoding="utf-8")
    assert bf.Case.from_toml("case.toml") == case
    unneeded = [name for name in HEAVY if name in sys.modules]
    assert not unneeded, f"figures, summary and files need {unneeded}"

    asks_for("pandas", cycle.leakage)
    asks_for("pandas", both.table)
    asks_for("xarray", cycle.profiles)
    asks_for("xarray", lambda: bf.sweep(case, {"regeneration.dose_g_per_l": [80.0]}))
    asks_for("matplotlib", both.sheet)


def asks_for(package: str, call: Callable[[], object]) -> None:
    """Check that the call says which package to install."""
    try:
        call()
    except bf.MissingPackageError as error:
        assert f"pip install {package}" in str(error), str(error)
        assert error.name == package
        print(f"  {error}")
    else:
        raise AssertionError(f"{package} is not installed, and nothing said so")


if __name__ == "__main__":
    main()
