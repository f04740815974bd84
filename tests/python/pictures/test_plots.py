"""Pictures draw the results they are given, with a unit on every axis; importing the package loads none of it."""

from __future__ import annotations

import subprocess
import sys

import brinefront as bf
import matplotlib as mpl
import numpy as np
import pytest
from matplotlib import pyplot as plt

mpl.use("Agg")

from brinefront import plot
from brinefront.units import display

CASE = bf.default_case().replace({"cells": 40})


@pytest.fixture(scope="module")
def both() -> bf.Comparison:
    return bf.compare(CASE)


@pytest.fixture(autouse=True)
def closed() -> object:
    yield
    plt.close("all")


def units_on(ax: plt.Axes) -> bool:
    return all("[" in label for label in (ax.get_xlabel(), ax.get_ylabel()))


def test_import_loads_nothing_heavy() -> None:
    script = """
import sys, brinefront
loaded = {"matplotlib", "pandas", "xarray", "scipy"} & set(sys.modules)
assert not loaded, loaded
"""
    subprocess.run([sys.executable, "-c", script], check=True, timeout=60)


def test_leakage_draws_the_curves(both: bf.Comparison) -> None:
    ax = plot.leakage(both.cycles)
    assert units_on(ax)
    curves = [line for line in ax.lines if len(line.get_xdata()) > 2]
    for line, cycle in zip(curves, both.cycles, strict=True):
        frame = cycle.leakage()
        assert np.array_equal(line.get_xdata(), frame["bv"])
        assert np.array_equal(line.get_ydata(), frame["hardness_mg_per_l_caco3"])
        assert cycle.direction in line.get_label()
    marks = [line for line in ax.lines if len(line.get_xdata()) == 1]
    assert [mark.get_ydata()[0] for mark in marks] == [cycle.leakage_half_run_mg_per_l_caco3 for cycle in both.cycles]
    limits = [line.get_ydata()[0] for line in ax.lines if list(line.get_xdata()) == [0, 1]]
    assert 17.0 in limits


def test_leakage_takes_one_cycle_and_the_callers_axes(both: bf.Comparison) -> None:
    _, ax = plt.subplots()
    assert plot.leakage(both.cycles[0], ax=ax) is ax


@pytest.mark.parametrize("ion", ["hardness", "Ca", "Na"])
def test_loading_draws_the_bed_upright(both: bf.Comparison, ion: str) -> None:
    cycle = both.cycles[0]
    ax = plot.loading(cycle, ion=ion)
    assert units_on(ax)
    profiles = cycle.profiles()
    wanted = ["Mg", "Ca"] if ion == "hardness" else [ion]
    for step, line in zip(profiles["step"].values, ax.lines, strict=False):
        assert line.get_label() == f"after {step}"
        assert np.array_equal(line.get_ydata(), profiles["depth"])
        assert np.allclose(line.get_xdata(), profiles["loading_eq_per_l"].sel(step=step, ion=wanted).sum("ion"))
    top, bottom = ax.get_ylim()[1], ax.get_ylim()[0]
    assert (top, bottom) == (0.0, cycle.case.bed.depth_m)
    assert {"service", "brine"} <= {text.get_text() for text in ax.texts}


def test_a_bed_that_reclaims_brine_has_every_picture() -> None:
    reclaiming = CASE.replace({"regeneration.reclaim_from_bv": 1.2, "regeneration.reclaim_to_bv": 1.7}).cycle()
    assert "reclaimed brine" in list(reclaiming.steps()["step"])
    lines = {line.get_label(): line for line in plot.loading(reclaiming).lines}
    assert lines["after reclaimed brine"].get_color() == plot.palette.STEPS["reclaimed brine"]["color"]
    for draw in (plot.bed_profiles, plot.elution, plot.depth_time, plot.drain):
        draw(reclaiming)


def test_service_upwards_turns_the_picture_over() -> None:
    cycle = CASE.replace({"service.service_flow": "up"}).cycle()
    assert plot.loading(cycle).get_ylim() == (0.0, cycle.case.bed.depth_m)


def test_elution_draws_the_waste(both: bf.Comparison) -> None:
    cycle = both.cycles[0]
    ax = plot.elution(cycle)
    assert units_on(ax)
    frame = cycle.waste_curve()
    for line in ax.lines:
        assert np.array_equal(line.get_xdata(), frame["bv"])
        assert np.array_equal(line.get_ydata(), frame[line.get_label()])
    assert {line.get_label() for line in ax.lines} == {"Na", "Mg", "Ca"}
    assert set(frame["step"]) <= {text.get_text() for text in ax.texts}


def test_brine_efficiency_draws_its_sweeps() -> None:
    doses = [80.0, 160.0]
    axes = plot.brine_efficiency(CASE, doses=doses)
    ended = CASE.replace({"service.volume_bv": None})
    names = ("capacity_eq_per_l", "salt_efficiency_fraction", "leakage_half_run_mg_per_l_caco3")
    for ax, name in zip(axes, names, strict=True):
        assert units_on(ax)
        lines = {line.get_label(): line for line in ax.lines}
        for case in (ended, ended.mirrored()):
            found = bf.sweep(case, {"regeneration.dose_g_per_l": doses})
            line = lines[case.regeneration.direction]
            assert list(line.get_xdata()) == doses
            assert np.array_equal(line.get_ydata(), found[name])
    limit = next(line for line in axes[0].lines if "stoichiometric" in line.get_label())
    dose, capacity = limit.get_xdata()[-1], limit.get_ydata()[-1]
    # 5994 gr/lb is one equivalent of hardness for one of sodium chloride, 58.44 g.
    assert capacity == pytest.approx(dose / 58.44, rel=1e-3)
    (legend,) = axes[1].figure.legends
    assert any("several sources" in text.get_text() for text in legend.get_texts())
    # What a notebook crops a picture to, in inches; the legend is below the panels.
    axes[1].figure.canvas.draw()
    extent, kept = legend.get_window_extent(), axes[1].figure.get_tightbbox()
    assert kept.y0 * axes[1].figure.dpi <= extent.y0 < extent.y1 <= axes[1].get_tightbbox().y0


def test_the_sheet_shows_sentence_figures_and_caution(both: bf.Comparison) -> None:
    page = both.sheet()
    words = " ".join(" ".join(text.get_text() for text in page.findobj(mpl.text.Text)).split())
    assert display.typeset(both.sentence) in words
    assert CASE.name in words
    assert "licensed practice" in words
    width, height = page.get_size_inches()
    assert width / height == pytest.approx(2**0.5, rel=0.01)


def test_the_two_directions_differ_in_more_than_colour() -> None:
    from brinefront.pictures.style import DIRECTIONS

    first, second = DIRECTIONS.values()
    assert all(first[key] != second[key] for key in ("color", "linestyle", "marker"))
    # Lightness apart, so that they print in grey: relative luminance by the sRGB weights of IEC 61966-2-1.
    light, dark = (mpl.colors.to_rgb(look["color"]) for look in (first, second))
    weights = np.array([0.2126, 0.7152, 0.0722])
    assert abs(weights @ (np.array(light) - np.array(dark))) > 0.15


def test_the_callers_settings_are_left_alone(both: bf.Comparison) -> None:
    before = dict(mpl.rcParams)
    plot.leakage(both.cycles)
    both.sheet()
    assert dict(mpl.rcParams) == before


def test_a_dollar_in_a_name_is_no_mathematics() -> None:
    coarse = CASE.replace({"cells": 10, "name": r"from $80 to \alpha_1 $90"})
    both = bf.compare([coarse, coarse.replace({"name": "$x^2$", "water.temperature_c": 10.0})])
    drawn = [plot.comparison_sheet(both), plot.leakage(both.cycles).figure, plot.drain(both.cycles).figure]
    words = [each.get_text() for figure in drawn for each in figure.findobj(mpl.text.Text)]
    assert any("80" in each for each in words) and any("x^2" in each for each in words)
    for each in words:
        if "80 to" in each or "x^2" in each:
            assert mpl.cbook.is_math_text(each) is False
    for figure in drawn:
        figure.canvas.draw()
