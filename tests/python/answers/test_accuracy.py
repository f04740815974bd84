"""Cells found for an accuracy, and the numerical error of every result."""

from __future__ import annotations

import math

import brinefront as bf
import pytest

CASE = bf.default_case().replace({"cells": "auto", "accuracy": 0.05})


def test_cells_are_found() -> None:
    cycle = CASE.cycle()
    assert CASE.cells == "auto"
    assert 25 < cycle.cells < 800
    assert cycle.profiles().sizes["depth"] == cycle.cells
    assert cycle.capacity_error_fraction <= 0.1 * CASE.accuracy
    assert max(cycle.leakage_mean_error_fraction, cycle.leakage_half_run_error_fraction) <= CASE.accuracy


def test_a_finer_accuracy_takes_more_cells() -> None:
    case = CASE.mirrored()
    assert case.replace({"accuracy": 0.002}).cycle().cells > case.replace({"accuracy": 0.2}).cycle().cells


def test_a_given_grid_tells_its_error_too() -> None:
    cycle = CASE.replace({"cells": 100}).cycle()
    assert cycle.cells == 100
    assert 0.0 < cycle.capacity_error_fraction < 0.05


def test_any_grid_tells_its_error() -> None:
    """Those of few cells by the same bed on twice as many."""
    capacity = CASE.replace({"cells": 200}).cycle().capacity_eq_per_l
    for cells in (4, 7, 8, 12, 30):
        cycle = CASE.replace({"cells": cells}).cycle()
        assert abs(cycle.capacity_eq_per_l / capacity - 1.0) < cycle.capacity_error_fraction < 1.0


def test_single_runs() -> None:
    run = CASE.load(from_loading={"Na": 1.0}, volume_bv=300.0)
    assert run.cells in {50, 100, 200, 400}
    assert run.effluent_error_fraction <= CASE.accuracy
    given = CASE.replace({"cells": 50}).load(from_loading={"Na": 1.0}, volume_bv=300.0)
    # Of the ion of which least has left, which has hardly broken through.
    assert run.effluent_error_fraction < given.effluent_error_fraction < 1.0
    assert 0.0 < given.loading_error_fraction < 0.1
    few = CASE.replace({"cells": 6}).load(from_loading={"Na": 1.0}, volume_bv=10.0)
    assert math.isnan(few.effluent_error_fraction)


def test_the_constructor_takes_the_word_and_no_other() -> None:
    parts = (CASE.water, CASE.resin, CASE.bed, CASE.service, CASE.regeneration)
    case = bf.Case(*parts, cells="auto", accuracy=0.02)
    assert (case.cells, case.accuracy) == ("auto", 0.02)
    assert "cells='auto'" in repr(case)
    for wrong in ("fine", 3, 40.5, -1):
        with pytest.raises(bf.InputError, match="auto"):
            bf.Case(*parts, cells=wrong)  # type: ignore[arg-type]
    with pytest.raises(bf.InputError, match="accuracy"):
        bf.Case(*parts, cells="auto", accuracy=0.0)


def test_a_sweep_finds_the_cells_of_each_point() -> None:
    found = bf.sweep(CASE, {"regeneration.dose_g_per_l": [80.0, 160.0]})
    assert (found["cells"] > 25).all()
    assert found["capacity_error_fraction"].max() <= 0.1 * CASE.accuracy
