"""Equilibrium theory in Python: tables of waves, the ceiling, their pictures."""

from __future__ import annotations

import brinefront as bf
import matplotlib as mpl
import numpy as np
import pytest
from matplotlib import pyplot as plt

mpl.use("Agg")

from brinefront import plot

CASE = bf.default_case()


@pytest.fixture(scope="module")
def found() -> bf.Waves:
    return bf.waves(CASE)


@pytest.fixture(autouse=True)
def closed() -> object:
    yield
    plt.close("all")


def test_reversal_and_separation_factors(found: bf.Waves) -> None:
    # N = K Q (algebra); separation factor alpha = (K Q/N) (1 - y)/(1 - x) (algebra of the law).
    assert found.reversal_eq_per_l == pytest.approx(found.selectivity * found.capacity_total_eq_per_l)
    ratio = found.reversal_eq_per_l / found.feed_normality_eq_per_l
    expected = ratio * (1.0 - found.feed_resin_fraction) / (1.0 - found.feed_divalent_fraction)
    assert found.separation_factor_feed == pytest.approx(expected, rel=1e-9)
    assert 1.0 < found.separation_factor_brine < found.separation_factor_feed


def test_the_lump_is_the_feeds_own_equilibrium(found: bf.Waves) -> None:
    feed = {"Na": 28.0 / 22.99, "Mg": 24.0 / 12.1525, "Ca": 80.0 / 20.039}
    solution = {ion: 1e-3 * amount for ion, amount in feed.items()}
    resin = bf.equilibrium(solution, "BonnerSmith1957", CASE.resin.capacity_eq_per_l)
    # That call counts the coefficients per litre of bead with the default void, as the case does.
    assert found.feed_resin_fraction == pytest.approx(resin["Ca"] + resin["Mg"], abs=2e-5)


def test_lines_join_and_stay_in_the_bed(found: bf.Waves) -> None:
    lines, steps = found.lines(), found.steps()
    assert set(lines["kind"]) == {"shock", "fan", "concentration"}
    assert lines.attrs["units"]["from_bv"] == "BV"
    assert (lines["to_bv"] > lines["from_bv"]).all()
    for end in ("from_depth_m", "to_depth_m"):
        assert lines[end].between(-1e-12, CASE.bed.depth_m + 1e-12).all()
    service = lines[lines["step"] == len(steps) - 1]
    assert (service["to_depth_m"] >= service["from_depth_m"]).all()
    assert steps["kept_eq_per_l"].sum() == pytest.approx(0.0, abs=1e-6)


def test_the_field_has_the_mean_of_the_bed(found: bf.Waves) -> None:
    depth = (np.arange(2000) + 0.5) * CASE.bed.depth_m / 2000
    service = len(found.steps()) - 1
    run = found.run_length_bv
    field = found.resin_fraction(service, [1e-9, run * (1 - 1e-9)], depth)
    assert field.shape == (2, 2000)
    assert field.mean(axis=1) == pytest.approx([found.resin_fraction_at_service, found.resin_fraction_after], abs=1e-3)


def test_the_ceiling_has_a_row_for_each_direction_and_dose() -> None:
    frame = bf.efficiency_ceiling(CASE, [40.0, 96.0, 200.0])
    assert list(frame["direction"]) == ["co-current"] * 3 + ["counter-current"] * 3
    assert frame.attrs["units"]["salt_efficiency_gr_per_lb"] == "gr/lb"
    soft = frame[frame["stop_reason"] != "never soft"]
    # 5994 gr/lb is one equivalent of hardness for one of sodium chloride.
    assert np.allclose(soft["salt_efficiency_gr_per_lb"], 5994.0 * soft["salt_efficiency_fraction"], rtol=1e-4)
    counter = frame[frame["direction"] == "counter-current"]["salt_efficiency_fraction"].to_numpy()
    assert (np.diff(counter) < 0.0).all()


def test_the_direction_given_does_not_matter() -> None:
    doses = [96.0, 160.0]
    one, other = bf.efficiency_ceiling(CASE, doses), bf.efficiency_ceiling(CASE.mirrored(), doses)
    assert one["direction"].equals(other["direction"])
    assert np.allclose(one["salt_efficiency_fraction"], other["salt_efficiency_fraction"], rtol=1e-6)


def test_bad_levels_are_named() -> None:
    for levels in (3, 5000, 2.5, "many"):
        with pytest.raises(bf.InputError) as caught:
            bf.waves(CASE, levels=levels)  # type: ignore[arg-type]
        assert caught.value.field == "levels"


@pytest.mark.parametrize("case", [CASE, CASE.mirrored()], ids=["counter-current", "co-current"])
def test_the_picture_has_service_and_regeneration_upright(case: bf.Case) -> None:
    axes = plot.waves(bf.waves(case))
    for ax in axes:
        assert "[" in ax.get_xlabel()
        bottom, top = ax.get_ylim()
        assert (bottom, top) == (case.bed.depth_m, 0.0)
        assert ax.collections
    words = " ".join(text.get_text() for text in axes[0].figure.findobj(mpl.text.Text))
    assert "K Q = 6.66 eq/L" in words
    assert "brine" in words


def test_the_efficiency_picture_has_the_ceiling_if_asked() -> None:
    case = CASE.replace({"cells": 20})
    doses = [80.0, 160.0]
    without, drawn = plot.brine_efficiency(case, doses), plot.brine_efficiency(case, doses, ceiling=True)
    words = "what equilibrium allows"
    assert not any(line.get_label() == words for line in without[0].lines)
    line = next(line for line in drawn[0].lines if line.get_label() == words)
    expected = bf.efficiency_ceiling(case, doses).groupby("dose_g_per_l")["capacity_eq_per_l"].max()
    assert line.get_ydata()[[0, -1]] == pytest.approx(expected.to_numpy())
