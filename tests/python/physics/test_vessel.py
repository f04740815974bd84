"""A vessel around the bed: stirred spaces, and an uneven flow as stream tubes."""

from __future__ import annotations

from pathlib import Path

import brinefront as bf
import numpy as np
import pytest


@pytest.fixture(scope="module")
def case() -> bf.Case:
    return bf.default_case().replace({"cells": 24, "service.volume_bv": None})


def test_spaces_and_tubes_go_to_a_file_and_back(case: bf.Case, tmp_path: Path) -> None:
    changed = case.replace(
        {
            "bed.freeboard_l": 40.0,
            "bed.under_bed_l": 6.0,
            "maldistribution": bf.Maldistribution(0.1, tubes=3, correlation=0.25),
        }
    )
    assert changed.bed == bf.Bed(
        case.bed.depth_m, case.bed.diameter_m, held_down=True, freeboard_l=40.0, under_bed_l=6.0
    )
    file = tmp_path / "case.toml"
    file.write_text(changed.to_toml(), encoding="utf-8")
    assert "[maldistribution]" in file.read_text(encoding="utf-8")
    assert bf.Case.from_toml(file) == changed
    narrower = changed.replace({"maldistribution.spread": 0.05})
    assert narrower.maldistribution == bf.Maldistribution(0.05, tubes=3, correlation=0.25)
    assert changed.replace({"maldistribution": None, "bed.freeboard_l": 0.0, "bed.under_bed_l": 0.0}) == case
    for word in ("maldistribution", "freeboard", "under_bed"):
        assert word not in case.to_toml()


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"bed.freeboard_l": -1.0}, "bed.freeboard_l"),
        ({"bed.under_bed_l": 1e6}, "bed.under_bed_l"),
        ({"bed.freeboard_l": float("nan")}, "bed.freeboard_l"),
    ],
)
def test_spaces_that_no_vessel_has_are_refused(case: bf.Case, changes: dict[str, float], field: str) -> None:
    with pytest.raises(bf.InputError) as refused:
        case.replace(changes)
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({}, "maldistribution"),
        ({"spread": 0.1, "fast_flow_share": 0.5, "fast_area_share": 0.2}, "maldistribution"),
        ({"fast_flow_share": 0.5}, "maldistribution"),
        ({"fast_flow_share": 0.1, "fast_area_share": 0.2}, "maldistribution.fast_flow_share"),
        ({"fast_flow_share": 1.0, "fast_area_share": 0.2}, "maldistribution.fast_flow_share"),
        ({"spread": 2.5}, "maldistribution.spread"),
        ({"spread": 0.1, "correlation": -0.1}, "maldistribution.correlation"),
        ({"spread": 0.1, "tubes": 0}, "maldistribution.tubes"),
        ({"spread": 0.1, "tubes": 21}, "maldistribution.tubes"),
        ({"spread": 0.1, "tubes": 2.5}, "maldistribution.tubes"),
    ],
)
def test_flows_that_make_no_sense_are_refused(given: dict[str, float], field: str) -> None:
    with pytest.raises(bf.InputError) as refused:
        bf.Maldistribution(**given)
    assert refused.value.field == field


def test_tubes_keep_area_flow_and_correlation() -> None:
    area, service, regenerant = np.array(bf.Maldistribution(0.3, tubes=4, correlation=0.6).stream_tubes()).T
    assert len(area) == 16
    assert np.allclose([area.sum(), area @ service, area @ regenerant], 1.0, rtol=0, atol=1e-14)
    covariance = np.cov(service, regenerant, aweights=area, ddof=0)
    assert covariance[0, 1] / np.sqrt(covariance[0, 0] * covariance[1, 1]) == pytest.approx(0.6, abs=1e-13)


def test_profiles_are_means_by_area_and_have_their_tubes_beside_them(case: bf.Case) -> None:
    uneven = bf.Maldistribution(fast_flow_share=0.4, fast_area_share=0.25)
    cycle = case.replace({"maldistribution": uneven, "bed.under_bed_l": 6.0}).cycle()
    assert cycle.settled and cycle.ledger_error < 1e-12
    found = cycle.profiles()
    assert found.tube_loading_eq_per_l.dims == ("step", "tube", "depth", "ion")
    assert found.tube_service.values == pytest.approx([0.8, 1.6], abs=1e-14)
    mean = (found.tube_loading_eq_per_l * found.tube_area).sum("tube")
    assert np.allclose(mean.transpose("step", "depth", "ion"), found.loading_eq_per_l, rtol=0, atol=1e-13)
    hardness = found.tube_loading_eq_per_l.sel(ion=["Mg", "Ca"]).sum("ion").mean("depth").isel(step=-1)
    assert hardness[1] > hardness[0], "a fast tube sees more of the feed"
    assert "tube_loading_eq_per_l" not in case.cycle().profiles()
