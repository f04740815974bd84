"""Every picture of the gallery shows what its result holds: artists against tables, one check for each picture, `check_` and its name."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import brinefront as bf
import matplotlib as mpl
import numpy as np
import pytest
from brinefront import plot, text
from brinefront.pictures import every
from brinefront.plot import palette
from brinefront.units import display
from matplotlib import pyplot as plt

mpl.use("Agg")

import gallery

CASE = bf.default_case().replace({"cells": 24})
Names = dict[str, Any]


@pytest.fixture(autouse=True)
def closed() -> Iterator[None]:
    yield
    plt.close("all")


def words_of(figure: Any) -> str:
    return " ".join(" ".join(each.get_text() for each in figure.findobj(mpl.text.Text)).split())


def curves_of(ax: Any) -> list[Any]:
    """Lines that are curves: not marks, not levels."""
    return [line for line in ax.lines if len(line.get_xdata()) > 2]


def leakage_curves(ax: Any, cycles: Any) -> None:
    curves = curves_of(ax)
    assert len(curves) == len(cycles)
    for line, cycle in zip(curves, cycles, strict=True):
        frame = cycle.leakage()
        assert np.array_equal(line.get_xdata(), frame["bv"])
        assert np.array_equal(line.get_ydata(), frame["hardness_mg_per_l_caco3"])
    marks = [(line.get_xdata()[0], line.get_ydata()[0]) for line in ax.lines if len(line.get_xdata()) == 1]
    assert marks == [(cycle.run_length_bv / 2, cycle.leakage_half_run_mg_per_l_caco3) for cycle in cycles]
    # All of every curve is inside the axes, however small.
    low, high = ax.get_ylim()
    assert all(low <= line.get_ydata().min() and line.get_ydata().max() <= high for line in curves)


def check_leakage(names: Names) -> None:
    ax, cycles = names["drawn"], names["both"].cycles
    leakage_curves(ax, cycles)
    entries = [each.get_text() for each in ax.get_legend().get_texts()]
    for words, cycle in zip(entries, cycles, strict=True):
        assert words == f"{cycle.direction}: {text.shown(cycle, 'leakage_half_run_mg_per_l_caco3')} mg/L at half run"


def check_loading(names: Names) -> None:
    ax, cycle = names["drawn"], names["cycle"]
    data = cycle.profiles()
    hardness = data["loading_eq_per_l"].sel(ion=["Mg", "Ca"]).sum("ion")
    steps = data["step"].to_numpy()
    lines = [line for line in ax.lines if line.get_label().startswith("after ")]
    assert [line.get_label() for line in lines] == [f"after {step}" for step in steps]
    for row, line in enumerate(lines):
        assert np.array_equal(line.get_ydata(), data["depth"])
        assert np.allclose(line.get_xdata(), hardness.isel(step=row), rtol=1e-12)
    capacity = next(line for line in ax.lines if len(line.get_xdata()) == 2)
    assert list(capacity.get_xdata()) == [cycle.case.resin.aged_capacity_eq_per_l] * 2


def check_bed_profiles(names: Names) -> None:
    panels, cycles = names["drawn"], names["both"].cycles
    assert panels.shape[0] == len(cycles)
    columns = [ax.get_title(loc="center").removeprefix("after\n") for ax in panels[0]]
    for row, cycle in zip(panels, cycles, strict=True):
        data = cycle.profiles()
        beds = [(ax, step) for ax, step in zip(row, columns, strict=True) if ax.axison]
        assert [step for _, step in beds] == data["step"].to_numpy().tolist()
        empty = [(ax, step) for ax, step in zip(row, columns, strict=True) if not ax.axison]
        assert all([each.get_text() for each in ax.texts] == [f"no {step}"] for ax, step in empty)
        for place, (ax, _) in enumerate(beds):
            bands = {patch.get_label(): patch for patch in ax.patches if patch.get_label() in palette.IONS}
            assert set(bands) == set(data["ion"].to_numpy())
            for ion, band in bands.items():
                values, edges, baseline = band.get_data()
                assert np.allclose(
                    values - baseline, data["loading_eq_per_l"].isel(step=place).sel(ion=ion), atol=1e-12
                )
                assert edges[0] == 0.0
                assert edges[-1] == pytest.approx(cycle.case.bed.depth_m)
                assert np.allclose((edges[1:] + edges[:-1]) / 2, data["depth"])
            # Stacked from the wall to the total capacity, with a line along the hardness.
            outer = max((band.get_data()[0] for band in bands.values()), key=np.mean)
            assert np.allclose(outer, cycle.case.resin.aged_capacity_eq_per_l)
            (edge,) = [patch for patch in ax.patches if patch.get_label() not in palette.IONS and not patch.get_fill()]
            hardness = data["loading_eq_per_l"].isel(step=place).sel(ion=list(cycle.case.hardness_ions)).sum("ion")
            assert np.allclose(edge.get_data()[0], hardness, rtol=1e-12)
            # The arrow goes the way of the step's liquid: axes fractions rise upwards.
            way = cycle.steps()["way"][place]
            arrows = [each for each in ax.texts if getattr(each, "arrow_patch", None) is not None]
            ways = ["up" if each.xy[1] > each.get_position()[1] else "down" for each in arrows]
            assert ways == ([] if way == "none" else [way])


def check_elution(names: Names) -> None:
    ax, cycle = names["drawn"], names["cycle"]
    frame = cycle.waste_curve()
    ions = [column for column in frame.columns if column in palette.IONS]
    curves = {line.get_label(): line for line in curves_of(ax)}
    assert list(curves) == ions
    for ion, line in curves.items():
        assert np.array_equal(line.get_xdata(), frame["bv"])
        assert np.array_equal(line.get_ydata(), frame[ion])
        assert line.get_color() == palette.IONS[ion]["color"]
    steps = cycle.steps().iloc[:-1]
    assert [each.get_text() for each in ax.texts] == steps["step"].tolist()
    # Every other step is shaded, from its first to its last volume.
    ends = np.concatenate([[0.0], np.cumsum(steps["volume_bv"])])
    shaded = [(patch.get_x(), patch.get_x() + patch.get_width()) for patch in ax.patches]
    assert np.allclose(shaded, list(pairwise(ends))[::2])


def check_brine_efficiency(names: Names) -> None:
    ended = CASE.replace({"service.volume_bv": None})
    columns = ("capacity_eq_per_l", "salt_efficiency_fraction", "leakage_half_run_mg_per_l_caco3")
    for case in (ended, ended.mirrored()):
        found = bf.sweep(case, {"regeneration.dose_g_per_l": names["doses"]})
        for ax, column in zip(names["drawn"], columns, strict=True):
            line = next(line for line in ax.lines if line.get_label() == case.regeneration.direction)
            assert list(line.get_xdata()) == names["doses"]
            assert np.array_equal(
                line.get_ydata(), found[column].where(found["stop_reason"] != "never soft"), equal_nan=True
            )
    from brinefront.tables.published import co_current_capacity

    band = names["drawn"][0].collections[0].get_paths()[0].vertices
    for pounds, (low, high) in co_current_capacity().items():
        dose = bf.units.convert(pounds, "lb/ft3", "g/L")
        drawn = sorted(band[np.isclose(band[:, 0], dose)][:, 1])
        assert drawn[0] == pytest.approx(bf.units.convert(low, "kgr/ft3", "eq/L"))
        assert drawn[-1] == pytest.approx(bf.units.convert(high, "kgr/ft3", "eq/L"))
    assert "published co-current figures, several sources" in words_of(names["drawn"][1].figure)
    assert "stoichiometric" in words_of(names["drawn"][1].figure)


def check_leakage_and_salinity(names: Names) -> None:
    ax = names["drawn"]
    lines = {line.get_label(): line for line in curves_of(ax)}
    ended = CASE.replace({"service.volume_bv": None})
    given = ended.water
    # CRC Handbook of Chemistry and Physics: 58.443 g of sodium chloride a mole.
    added = [mg / 58.443e3 for mg in names["added"]]
    # Dissolved solids by hand: what the laundry's analysis says, its chloride as the balance leaves it, and the salt.
    chloride = given.eq_per_l["Cl"] * 35.45e3
    solids = [80.0 + 24.0 + 28.0 + 280.0 + 55.0 + chloride + mg for mg in names["added"]]
    for case in (ended, ended.mirrored()):
        line = lines.pop(case.regeneration.direction)
        assert np.allclose(line.get_xdata(), solids, rtol=1e-4)
        for place in (0, 2):
            ions = {ion: 1e3 * eq for ion, eq in given.eq_per_l.items()}
            ions = {**ions, "Na": ions["Na"] + 1e3 * added[place], "Cl": ions["Cl"] + 1e3 * added[place]}
            water = bf.Water(ions, "meq/L", temperature_c=given.temperature_c, balance="Cl")
            assert water.hardness_mg_per_l_caco3 == pytest.approx(given.hardness_mg_per_l_caco3)
            cycle = case.replace({"water": water}).cycle()
            assert line.get_ydata()[place] == pytest.approx(cycle.leakage_half_run_mg_per_l_caco3, rel=1e-4)
        hard = np.isnan(line.get_ydata())
        assert re.search("never soft|cannot recover", words_of(ax.figure)) or not hard.any()
    (guide,) = lines.values()
    # The square of the normality, from mass action while the liquid holds little hardness; and the law itself beyond.
    normality = np.array([given.normality_eq_per_l + each for each in added])
    leaked = np.asarray(guide.get_ydata())
    slope = np.diff(np.log(leaked)) / np.diff(np.log(normality))
    assert slope[0] == pytest.approx(2.0, abs=0.05)
    before = ended.cycle() if ended.regeneration.direction == "co-current" else ended.mirrored().cycle()
    outlet = before.profiles()["loading_eq_per_l"].isel(step=-2, depth=-1)
    share = float(outlet.sel(ion=["Mg", "Ca"]).sum() / outlet.sum())
    for total, hardness in zip(normality, leaked, strict=True):
        # Half the hardness of the liquid each way round bounds the split between calcium and magnesium.
        eq = bf.units.convert(hardness, "mg/L CaCO3", "eq/L")
        bounds = [
            1.0
            - bf.equilibrium({"Na": total - eq, ion: eq}, CASE.resin.selectivity, CASE.resin.aged_capacity_eq_per_l)[
                "Na"
            ]
            for ion in ("Mg", "Ca")
        ]
        assert min(bounds) < share < max(bounds)
    # The axis above says the normality of the same water.
    (above,) = ax.child_axes
    forward = above._functions[0]
    assert np.allclose(forward(np.array(solids)), normality, rtol=1e-4)


def check_salt_account(names: Names) -> None:
    account, ax = names["account"], names["drawn"]
    bars = ax.patches
    assert bars[0].get_height() == account.dose_g_per_l
    level = account.dose_g_per_l
    for bar, share in zip(bars[1:-1], account.shares[:-1], strict=True):
        assert bar.get_y() == pytest.approx(level)
        level -= share.share_g_per_l
        assert bar.get_y() + bar.get_height() == pytest.approx(level)
    assert bars[-1].get_height() == account.shares[-1].share_g_per_l == pytest.approx(level)
    ticks = [" ".join(label.get_text().split()) for label in ax.get_xticklabels()]
    assert ticks[1:-1] == [share.name for share in account.shares[:-1]]


def check_drain(names: Names) -> None:
    ax, cycles = names["drawn"], names["both"].cycles
    for place, cycle in enumerate(cycles):
        bars = [bar for bar in ax.patches if bar.get_y() < place < bar.get_y() + bar.get_height()]
        mass_g, m3 = cycle.waste()["mass_g"], cycle.soft_water_l / 1000.0
        # End to end, all that left; the cations and chloride by themselves, in the order of the legend.
        assert bars[0].get_x() == 0.0
        for bar, after in pairwise(bars):
            assert bar.get_x() + bar.get_width() == pytest.approx(after.get_x(), rel=1e-12)
        assert sum(bar.get_width() for bar in bars) == pytest.approx(mass_g.sum() / m3, rel=1e-12)
        named = [text.get_text() for text in ax.get_legend().get_texts()]
        assert named[-1] == "other anions"
        for bar, name in zip(bars[:-1], named[:-1], strict=True):
            assert bar.get_width() == pytest.approx(mass_g[name] / m3, rel=1e-12)
        assert f"{cycle.waste_volume_l / m3:.3g} L per m³" in words_of(ax.figure)


def check_waves(names: Names) -> None:
    found, panels = names["waves"], names["drawn"]
    lines, steps = found.lines(), found.steps()
    service = len(steps) - 1
    # Everything drawn begins, bends and ends where the theory has it, steps one after the other; no shock is left out.
    regeneration = [row for row in range(service) if steps["volume_bv"][row] > 0.0 and steps["step"][row] != "backwash"]
    for ax, rows in zip(panels, ([service], regeneration), strict=True):
        start, points, shocks = 0.0, [], []
        for row in rows:
            own = lines[lines["step"] == row]
            for end in ("from", "to"):
                at = own[[f"{end}_bv", f"{end}_depth_m"]].to_numpy() + [start, 0.0]
                points.append(at)
                strong = (own["kind"] == "shock") & ((own["resin_ahead"] - own["resin_behind"]).abs() > 0.05)
                shocks.append(at[strong.to_numpy()])
            start += float(steps["volume_bv"][row])
        assert ax.get_xlim() == pytest.approx((0.0, start))
        drawn = np.concatenate([segment for each in ax.collections for segment in each.get_segments()])
        known, needed = np.concatenate(points), np.concatenate(shocks)
        assert all(np.isclose(known, point, atol=1e-9).all(axis=1).any() for point in drawn)
        assert all(np.isclose(drawn, point, atol=1e-9).all(axis=1).any() for point in needed)
    # Shading is the loading itself.
    image = panels[0].images[0]
    shape = image.get_array().shape
    bv = (np.arange(shape[1]) + 0.5) * float(steps["volume_bv"][service]) / shape[1]
    depth = (np.arange(shape[0]) + 0.5) * found.case.bed.depth_m / shape[0]
    expected = found.resin_fraction(service, bv.tolist(), depth.tolist()).T
    assert np.allclose(image.get_array(), expected, equal_nan=True)
    assert len(panels[1].images) == len(regeneration)
    assert f"{found.reversal_eq_per_l:.3g} eq/L" in words_of(panels[0].figure)


def check_comparison_sheet(names: Names) -> None:
    page, both = names["drawn"], names["both"]
    words = words_of(page)
    assert display.typeset(both.sentence) in words
    for cycle in both.cycles:
        for figure in ("salt_kg", "capacity_eq_per_l", "leakage_half_run_mg_per_l_caco3", "waste_chloride_mg_per_l"):
            assert display.typeset(text.shown(cycle, figure)) in words
    leakage_curves(page.axes[0], both.cycles)
    for ax, cycle in zip(page.axes[2:], both.cycles, strict=True):
        data = cycle.profiles()["loading_eq_per_l"].sel(ion=["Mg", "Ca"]).sum("ion")
        ends, starts = ax.lines
        assert np.allclose(ends.get_xdata()[1:-1], data.isel(step=-1))
        assert np.allclose(starts.get_xdata()[1:-1], data.isel(step=-2))


def check_depth_time(names: Names) -> None:
    """Every flowing step is a mesh of its moments by the cells."""
    cycle = names["cycle"]
    bed = cycle.through_time(400)
    held = bed["loading_eq_per_l"].sel(ion=["Mg", "Ca"]).sum("ion")
    drawn = [mesh for ax in names["drawn"] for mesh in ax.collections if isinstance(mesh, mpl.collections.QuadMesh)]
    steps = [step for step in dict.fromkeys(bed["step"].values.tolist()) if step != "backwash"]
    assert len(drawn) == len(steps)
    for mesh, step in zip(drawn, steps, strict=True):
        assert np.allclose(mesh.get_array(), held.values[bed["step"].values == step].T)


def check_movie(names: Names) -> None:
    """The moment shown: hardness on the resin against depth, as a filled area from the wall."""
    cycle, film = names["cycle"], names["movie"]
    assert film.bed.identical(cycle.through_time(90))
    held = film.bed["loading_eq_per_l"].sel(ion=["Mg", "Ca"]).sum("ion").values[9]
    corners = [patch.get_xy() for ax in names["drawn"].axes for patch in ax.patches if hasattr(patch, "get_xy")]
    widths = [np.asarray(each)[:, 0] for each in corners if np.ndim(each) == 2]
    assert any(np.isclose(held[:, None], each[None, :]).any(axis=1).all() for each in widths)
    assert str(film.bed["step"].values[9]) in words_of(names["drawn"])


@pytest.mark.parametrize("entry", gallery.ENTRIES, ids=lambda entry: entry.name)
def test_a_picture_shows_its_result(entry: gallery.Entry) -> None:
    check = globals().get(f"check_{entry.picture}")
    assert check is not None, f"no check_{entry.picture} here, which holds the picture against its data"
    check(gallery.run(entry, CASE))


def test_every_picture_is_in_the_gallery_and_public() -> None:
    pictures = every()
    assert {*pictures, "Movie", "projected"} == set(plot.__all__)
    assert all(getattr(plot, name) is each.draw for name, each in pictures.items())
    assert all(each.examples for each in pictures.values())
    code = "\n".join(entry.code for entry in gallery.ENTRIES)
    shown = {name for name in plot.__all__ if f"plot.{name}(" in code} | {"comparison_sheet"}
    assert shown == set(plot.__all__) - {"Movie"}
    assert "both.sheet()" in code
    assert len({entry.name for entry in gallery.ENTRIES}) == len(gallery.ENTRIES)


def test_the_page_stands_by_itself(tmp_path: Path) -> None:
    from html.parser import HTMLParser

    chosen = [entry for entry in gallery.ENTRIES if entry.name in ("leakage", "elution")]
    page = gallery.build(tmp_path / "gallery", chosen, CASE, dpi=40)
    seen: list[tuple[str, str]] = []

    class Links(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            seen.extend((tag, value or "") for name, value in attrs if name in ("src", "href"))

    content = page.read_text(encoding="utf-8")
    Links().feed(content)
    pictures = [value for tag, value in seen if tag == "img"]
    assert pictures == ["leakage.png", "elution.png"]
    assert all((page.parent / name).stat().st_size > 1000 for name in pictures)
    assert all(value.startswith("#") for tag, value in seen if tag == "a")
    assert "://" not in content
    for entry in chosen:
        assert entry.title in content
        compile(entry.whole_code, entry.name, "exec")


def test_type_is_larger_in_a_room_and_the_figure_is_not() -> None:
    cycle = CASE.cycle()
    usual = plot.leakage(cycle)
    with plot.projected():
        larger = plot.leakage(cycle)
        page = bf.compare(CASE).sheet()
    after = plot.leakage(cycle)
    scale = larger.xaxis.label.get_fontsize() / usual.xaxis.label.get_fontsize()
    assert scale > 1.3
    assert larger.lines[0].get_linewidth() == pytest.approx(scale * usual.lines[0].get_linewidth())
    assert np.array_equal(larger.figure.get_size_inches(), usual.figure.get_size_inches())
    assert after.xaxis.label.get_fontsize() == usual.xaxis.label.get_fontsize()
    assert page.axes[0].xaxis.label.get_fontsize() == usual.xaxis.label.get_fontsize()
    # Common practice for slides, no source: no word smaller than a thirtieth of the height.
    points = 72.0 * larger.figure.get_size_inches()[1]
    sizes = [each.get_fontsize() for each in larger.figure.findobj(mpl.text.Text) if each.get_text()]
    assert min(sizes) > points / 30.0


def test_axes_and_ions_that_do_not_fit_are_named() -> None:
    cycle = CASE.cycle()
    _, ax = plt.subplots()
    with pytest.raises(bf.InputError) as caught:
        plot.bed_profiles(cycle, axes=ax)
    assert caught.value.field == "axes"
    with pytest.raises(bf.InputError) as caught:
        plot.bed_profiles(cycle, ion="Xx")
    assert caught.value.field == "ion"
    for wrong in ([100.0], [-1.0, 100.0]):
        with pytest.raises(bf.InputError) as caught:
            plot.leakage_and_salinity(CASE, wrong)
        assert caught.value.field == "added_mg_per_l"


def test_one_ion_alone_and_the_callers_axes() -> None:
    cycle = CASE.cycle()
    data = cycle.profiles()
    _, axes = plt.subplots(1, data.sizes["step"])
    panels = plot.bed_profiles(cycle, ion="Ca", axes=axes)
    for place, ax in enumerate(axes):
        assert panels[0, place] is ax
        (band,) = ax.patches
        assert np.array_equal(band.get_data()[0], data["loading_eq_per_l"].isel(step=place).sel(ion="Ca"))


def test_the_published_band_says_the_conditions_of_its_table() -> None:
    """What the table says is what the legend says and what a case is held against, end by end."""
    from brinefront.pictures.efficiency import published_opacity, published_words
    from brinefront.tables.published import conditions, outside_of_published

    held = json.loads((Path(bf.__file__).parent / "tables" / "published_capacity.json").read_text())["conditions"]
    low, high = held["strength_percent"]
    solids, limit = held["most_dissolved_solids_mg_per_l"], held["limit_mg_per_l_caco3"]
    assert conditions().strength_percent == (low, high) and conditions().temperature_c == tuple(held["temperature_c"])
    words = f"({low:g} to {high:g} % brine,\nfeed below {solids:g} mg/L of dissolved solids, end point {limit:g} mg/L)"
    assert published_words(CASE).endswith(words) and published_opacity(CASE) == 1.0
    ends = [("regeneration.strength_percent", low, high), ("water.temperature_c", *held["temperature_c"])]
    for name, least, most in ends:
        for value, inside in ((least, True), (most, True), (least - 0.5, False), (most + 0.5, False)):
            case = CASE.replace({name: value})
            assert (outside_of_published(case) == []) == inside == (published_opacity(case) == 1.0), (name, value)
    short = CASE.replace({"service.limit_mg_per_l_caco3": 0.8 * limit})
    (reason,) = outside_of_published(short)
    assert published_words(short).endswith(f"\nnot for this case: {reason}")


def test_a_run_that_is_never_soft_says_so() -> None:
    case = CASE.replace({"regeneration.dose_g_per_l": 30.0, "service.limit_mg_per_l_caco3": 1.0})
    both = bf.compare(case)
    ax = plot.leakage(both.cycles)
    hard = next(cycle for cycle in both.cycles if cycle.stop_reason == "never soft")
    words = "cannot recover, soft metered at up to" if hard.outcome is bf.Outcome.CANNOT_RECOVER else "never soft"
    assert any(f"{hard.direction}: {words}" in each.get_text() for each in ax.get_legend().get_texts())
    (cross,) = [line for line in ax.lines if line.get_marker() == "x"]
    assert cross.get_ydata()[0] == hard.leakage()["hardness_mg_per_l_caco3"].iloc[-1]
